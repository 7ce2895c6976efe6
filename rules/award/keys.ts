/** Awards of one exchange are summed by rule, receiver and unit. */
export const keyOf = (rule: number, to: number, unit: number): number => (rule * 2 + to) * 2 + unit;
