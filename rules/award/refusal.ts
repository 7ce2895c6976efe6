/** A sentence of the rule language that scoring cannot do; compile refuses the rule set rather than ignore it. */
export class Unsupported extends Error {
  constructor(sentence: string) {
    super(sentence);
    this.name = "Unsupported";
  }
}
