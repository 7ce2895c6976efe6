/** The states of one world's exchange, found anew only where other choices led there. */
import type { Machine } from "./machine.ts";

type States = readonly Int32Array[] | undefined;

export class FoundStates {
  private readonly m: Machine;
  private states: States;
  private choices: readonly number[] | undefined;
  private mem: Float64Array = new Float64Array(0);
  private left = Number.NaN;
  private lasted = Number.NaN;

  constructor(machine: Machine) {
    this.m = machine;
  }

  /** The latest states again, with what finding them settled, if this run begins with the same choices. */
  of(find: () => States): States {
    const { m } = this;
    if (this.choices && m.chooser.repeat(this.choices)) {
      m.mem.set(this.mem);
      m.left = this.left;
      m.lasted = this.lasted;
      return this.states;
    }
    this.states = find();
    this.choices = m.chooser.soFar();
    this.mem = m.mem.slice();
    this.left = m.left;
    this.lasted = m.lasted;
    return this.states;
  }
}
