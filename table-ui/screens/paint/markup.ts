/** Finished HTML from values: whatever is not markup is escaped, so that a name can never become a tag. */

/** Text that is already markup. Only this file makes one, so a view's JSON can never pass for it. */
export class Markup {
  readonly markup: string;
  constructor(markup: string) {
    this.markup = markup;
  }
  toString(): string {
    return this.markup;
  }
}

/** What a template may hold; undefined, false and the empty list leave nothing behind. */
export type Piece = string | number | Markup | undefined | false | readonly Piece[];

const ESCAPES: Readonly<Record<string, string>> = {
  "&": "&amp;",
  "<": "&lt;",
  ">": "&gt;",
  '"': "&quot;",
  "'": "&#39;",
};

/** Safe in text and in a quoted attribute. */
export const escape = (text: string): string => text.replace(/[&<>"']/g, (mark) => ESCAPES[mark] ?? mark);

/** Vouches for a string that was built as markup (the drawings). */
export const raw = (markup: string): Markup => new Markup(markup);

function piece(value: Piece): string {
  if (value === undefined || value === false) return "";
  if (value instanceof Markup) return value.markup;
  if (typeof value === "string") return escape(value);
  return typeof value === "number" ? String(value) : value.map(piece).join("");
}

/** Line breaks of the source beside a tag or a piece are layout; inside a text they are spaces. */
const squeeze = (part: string): string =>
  part.replace(/(^|>)\s*\n\s*|\s*\n\s*(<|$)/g, "$1$2").replace(/\s*\n\s*/g, " ");

const squeezed = new WeakMap<TemplateStringsArray, readonly string[]>();

/** html`<b>${name}</b>`: escapes every piece that is not Markup; attributes must be quoted. */
export function html(strings: TemplateStringsArray, ...values: readonly Piece[]): Markup {
  let parts = squeezed.get(strings);
  if (!parts) squeezed.set(strings, (parts = strings.map(squeeze)));
  return new Markup(parts.reduce((text, part, i) => text + piece(values[i - 1]) + part));
}
