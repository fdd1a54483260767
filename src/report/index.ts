export type { DrawLayoutOptions } from './draw-layout.js';
export { DRAW_LAYOUT_DEFAULTS, drawLayout } from './draw-layout.js';
export type { DrawSurfaceOptions } from './draw-surface.js';
export { DRAW_SURFACE_DEFAULTS, drawSurface, SurfacePainter } from './draw-surface.js';
export type { DrawTemplateOptions } from './draw-template.js';
export { DRAW_TEMPLATE_DEFAULTS, drawTemplate } from './draw-template.js';
export type { DrawnChart, DrawnSeam, DrawnSet } from './drawn-set.js';
export { partLabel } from './drawn-set.js';
export { escapeMarkup } from './escape-markup.js';
export type { SeamStyle } from './palette.js';
export type { Fact, ReportPage, ReportPicture, ReportSet, ReportTable } from './report-page.js';
export { writeReportPage } from './report-page.js';
export type { ReviewDroppedInput, ReviewInput, ReviewSetInput } from './review/build-review.js';
export { buildReview } from './review/build-review.js';
export type { PackedReview } from './review/pack-review.js';
export { packReview } from './review/pack-review.js';
export type {
  ReviewChart,
  ReviewDropped,
  ReviewFigures,
  ReviewModel,
  ReviewSeam,
  ReviewSet,
} from './review/review-model.js';
export { unpackReview } from './review/unpack-review.js';
export { styleSeams } from './seam-styles.js';
export type { SurfaceView } from './surface-view.js';
export { standardViews } from './surface-view.js';
