/** Turns on streams within one process, for ledgers that only this process writes to. */

/** Who has a stream for themselves, and who waits for it. */
export class Turns {
  readonly #running = new Map<string, Promise<void>>();

  /** Runs `work` after every turn on this stream that was asked for before. */
  run<T>(stream: string, work: () => Promise<T>): Promise<T> {
    const mine = (this.#running.get(stream) ?? Promise.resolve()).then(work);
    const over = mine.then(
      () => undefined,
      () => undefined,
    );
    this.#running.set(stream, over);
    void over.then(() => {
      if (this.#running.get(stream) === over) this.#running.delete(stream);
    });
    return mine;
  }

  /** Resolves when no turn on this stream runs or waits; undefined if that is so already. */
  wait(stream: string): Promise<void> | undefined {
    return this.#running.get(stream);
  }
}
