/**
 * How deeply a file is nested, by one pass over its characters. The YAML parser recurses once a level, and thousands of
 * levels would end the whole process and not only this file.
 */

/** A rule set needs three levels; whoever writes brackets needs a few more. */
const DEEPEST = 24;

const NEW_LINE = 10;
const TAB = 9;
const SPACE = 32;
const DASH = 45;
const COLON = 58;
const QUESTION = 63;

const opens = (code: number): boolean => code === 91 || code === 123;
const closes = (code: number): boolean => code === 93 || code === 125;

/** Offset of the first place that is nested too deeply; undefined where none is. */
export function tooDeepAt(text: string): number | undefined {
  const indents: number[] = [];
  let brackets = 0;
  let at = 0;
  while (at < text.length) {
    const line = at;
    while (text.charCodeAt(at) === SPACE) at++;
    const indent = at - line;
    const marks = marksAt(text, at);
    while (indents.length > 0 && (indents[indents.length - 1] ?? 0) >= indent) indents.pop();
    indents.push(indent);
    if (indents.length + marks > DEEPEST) return at;
    for (; at < text.length && text.charCodeAt(at) !== NEW_LINE; at++) {
      const code = text.charCodeAt(at);
      if (opens(code)) brackets++;
      else if (closes(code) && brackets > 0) brackets--;
      if (brackets > DEEPEST) return at;
    }
    at++;
  }
  return undefined;
}

/** How many "- ", "? " and ": " stand one after the other from `at` on: each begins a level of its own. */
function marksAt(text: string, start: number): number {
  let marks = 0;
  for (let at = start; at < text.length; at++) {
    const code = text.charCodeAt(at);
    if (code === DASH || code === QUESTION || code === COLON) marks++;
    else if (code !== SPACE && code !== TAB) break;
  }
  return marks;
}
