/** The script of the review page, bundled by the build from src/report/page. */
declare module 'virtual:review-page' {
  export const pageScript: string;
  /** As a Content-Security-Policy names it. */
  export const pageScriptHash: string;
}
