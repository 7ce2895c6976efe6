/** Whether two values of plain JSON say the same, whatever order their keys stand in; a key without a value is none. */
export function isSame(a: unknown, b: unknown): boolean {
  if (Object.is(a, b)) return true;
  if (typeof a !== "object" || typeof b !== "object" || a === null || b === null) return false;
  if (Array.isArray(a) || Array.isArray(b)) {
    if (!Array.isArray(a) || !Array.isArray(b) || a.length !== b.length) return false;
    return a.every((item, at) => isSame(item, b[at]));
  }
  const [left, right] = [entries(a), entries(b)];
  return (
    left.length === right.length &&
    left.every(([key, value]) => Object.hasOwn(b, key) && isSame(value, valueOf(b, key)))
  );
}

const entries = (from: object): readonly (readonly [string, unknown])[] =>
  Object.entries(from).filter(([, value]) => value !== undefined);

const valueOf = (from: object, key: string): unknown => (from as Readonly<Record<string, unknown>>)[key];
