/** Remembering what was made of a value that never changes, so that a press draws anew only what it moved. */

/** The same function, asked once for each object; forgets with the object. */
export function keptFor<K extends object, V>(make: (from: K) => V): (from: K) => V {
  const made = new WeakMap<K, { readonly value: V }>();
  return (from) => {
    const before = made.get(from);
    if (before !== undefined) return before.value;
    const value = make(from);
    made.set(from, { value });
    return value;
  };
}
