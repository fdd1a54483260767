/** The part of the validator that the tests use; its package has no types. */
declare module 'gltf-validator' {
  const validator: {
    validateBytes(bytes: Uint8Array): Promise<{
      issues: { messages: { code: string; severity: number; pointer: string }[] };
    }>;
  };
  export default validator;
}
