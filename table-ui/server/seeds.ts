/**
 * The seeds from which chance is drawn. They follow from the house's secret, so that none is stored before it is shown; a
 * server that has lost the secret commits to a new seed before it draws again.
 */
import type { HouseSecret } from "./secret.ts";

/** The seed of a bout by its number, from 1. */
export type Seeds = (bout: string, no: number) => string;

export const openSeeds =
  (secret: HouseSecret): Seeds =>
  (bout, no) =>
    secret(`${bout}|${no}`).toString("hex");
