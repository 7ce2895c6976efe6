/** JSON Merge Patch, RFC 7396. Views hold no nulls, so a patch can say every change of a view. */

const isObject = (x: unknown): x is Readonly<Record<string, unknown>> =>
  typeof x === "object" && x !== null && !Array.isArray(x);

/** The target with the patch applied (RFC 7396 section 2); neither is changed. */
export function applyPatch(target: unknown, patch: unknown): unknown {
  if (!isObject(patch)) return patch;
  const merged = new Map(Object.entries(isObject(target) ? target : {}));
  for (const [key, value] of Object.entries(patch)) {
    if (value === null) merged.delete(key);
    else merged.set(key, applyPatch(merged.get(key), value));
  }
  // fromEntries defines own properties, so that a key "__proto__" stays a key.
  return Object.fromEntries(merged);
}

/** Deep equality of plain JSON; key order does not matter. */
export function sameJson(a: unknown, b: unknown): boolean {
  if (a === b) return true;
  if (Array.isArray(a) && Array.isArray(b)) {
    return a.length === b.length && a.every((item, i) => sameJson(item, b[i]));
  }
  if (!isObject(a) || !isObject(b)) return false;
  const keys = Object.keys(a);
  return (
    keys.length === Object.keys(b).length &&
    keys.every((key) => Object.hasOwn(b, key) && sameJson(a[key], b[key]))
  );
}

/** JSON knows no undefined: a key without a value is not there. */
const has = (object: Readonly<Record<string, unknown>>, key: string): boolean =>
  Object.hasOwn(object, key) && object[key] !== undefined;

/**
 * The smallest merge patch that turns `from` into `to`; undefined if they are equal. Both without nulls. What both share as
 * the very same object is not looked into: a view that keeps what has not changed costs only what has.
 */
export function makePatch(from: unknown, to: unknown): unknown {
  if (from === to) return undefined;
  if (!isObject(from) || !isObject(to)) return sameJson(from, to) ? undefined : to;
  const patch: [string, unknown][] = [];
  for (const key of Object.keys(from)) if (has(from, key) && !has(to, key)) patch.push([key, null]);
  for (const [key, value] of Object.entries(to)) {
    if (value === undefined) continue;
    if (!has(from, key)) patch.push([key, value]);
    else {
      const inner = makePatch(from[key], value);
      if (inner !== undefined) patch.push([key, inner]);
    }
  }
  return patch.length === 0 ? undefined : Object.fromEntries(patch);
}
