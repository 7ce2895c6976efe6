/** How much a rule set may have; more than anybody can fence, and little enough to be read at once. */

export const MOST_KILOBYTES = 256;
/** Of a bout sheet or JSON Lines: an evening of bouts. */
export const MOST_SHEET_KILOBYTES = 512;
/** Of keys in one group, lines in one list, or rules. */
export const MOST_ENTRIES = 250;
/** Of a sentence, in characters. */
export const LONGEST_SENTENCE = 2000;
/** Of a name, in characters. */
export const LONGEST_NAME = 200;
