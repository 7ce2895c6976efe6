/** Which rules, marks and touches cannot be scored apart. */

/** Who asks: a rule, a mark, the touches, what the next exchange remembers, or the named phrases. */
export const owner = {
  rule: (name: string): string => `rule ${name}`,
  mark: (name: string): string => `mark ${name}`,
  kept: (condition: number): string => `kept ${String(condition)}`,
  made: (index: number): string => `made ${String(index)}`,
  touch: "touch",
  /** Who hit first and last. */
  hits: "hits",
} as const;

/** Which owners belong together. */
export class Joined {
  private readonly parents = new Map<string, string>();

  root(name: string): string {
    const parent = this.parents.get(name);
    if (parent === undefined || parent === name) {
      if (parent === undefined) this.parents.set(name, name);
      return name;
    }
    const root = this.root(parent);
    this.parents.set(name, root);
    return root;
  }

  join(a: string, b: string): void {
    this.parents.set(this.root(a), this.root(b));
  }

  groups(): readonly ReadonlySet<string>[] {
    const groups = new Map<string, Set<string>>();
    for (const name of this.parents.keys()) {
      const root = this.root(name);
      groups.set(root, (groups.get(root) ?? new Set()).add(name));
    }
    return [...groups.values()];
  }
}
