/** Names of a job's variants in the order of the file; undefined, for the job itself, where it has none. */
export async function variantsIn(text: string): Promise<readonly (string | undefined)[]> {
  // The reader is loaded only for a text that may have some.
  if (!/^\s*["']?variants\b|^\s*\{/m.test(text)) return [undefined];
  const { variantsOf } = await import('../job/variants.ts');
  const names = variantsOf(text);
  return names.length > 0 ? names : [undefined];
}
