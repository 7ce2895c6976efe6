/** Parts of a page that come after its first paint: what most people do not need at once, or nobody before the hall is heard. */
import { createSignal, type Accessor } from "solid-js";

export interface Late<T> {
  /** Undefined until it has come. */
  readonly part: Accessor<T | undefined>;
  /** It was asked for and did not arrive. */
  readonly isLost: Accessor<boolean>;
  /** Asks for it, or asks again if it was lost; nothing while it is on its way or here. */
  fetch(): void;
}

/** `load` imports the part; nothing is asked for before `fetch` is called. */
export function latePart<T extends object>(load: () => Promise<T>): Late<T> {
  const [part, setPart] = createSignal<T>();
  const [isLost, setLost] = createSignal(false);
  let isAsked = false;
  return {
    part,
    isLost,
    fetch() {
      if (isAsked) return;
      isAsked = true;
      load().then(
        (arrived) => {
          setLost(false);
          setPart(() => arrived);
        },
        () => {
          isAsked = false;
          setLost(true);
        },
      );
    },
  };
}
