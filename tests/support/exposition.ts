/**
 * A strict reader of Prometheus' text format 0.0.4. Source, from memory: prometheus.io, "Exposition formats", section "Text
 * format details": lines end in \n; `# HELP` and `# TYPE` once for each metric, before its samples; a sample is
 * `name{label="value",...} value`; in label values \\, \" and \n are escaped; histograms are `_bucket` with `le` up to
 * "+Inf", `_sum` and `_count`, and buckets are cumulative. Timestamps are allowed there; we never write one.
 */
export interface Sample {
  readonly name: string;
  readonly labels: Readonly<Record<string, string>>;
  readonly value: number;
}

export interface Family {
  readonly name: string;
  readonly type: string;
  readonly help: string;
  readonly samples: Sample[];
}

const TYPES = ["counter", "gauge", "histogram", "summary", "untyped"];
const NAME = /^[a-zA-Z_:][a-zA-Z0-9_:]*/;
const LABEL = /^([a-zA-Z_][a-zA-Z0-9_]*)="((?:[^"\\\n]|\\[\\"n])*)"/;

class Unreadable extends Error {
  constructor(line: string, why: string) {
    super(`${why}: ${line}`);
  }
}

const ESCAPED: Readonly<Record<string, string>> = { "\\\\": "\\", '\\"': '"', "\\n": "\n" };

function labelsIn(text: string, line: string): Readonly<Record<string, string>> {
  const found: [string, string][] = [];
  let rest = text;
  while (rest !== "") {
    const next = LABEL.exec(rest);
    if (next === null) throw new Unreadable(line, "a label that cannot be read");
    const [whole, name = "", value = ""] = next;
    if (found.some(([known]) => known === name)) throw new Unreadable(line, "the same label twice");
    found.push([name, value.replace(/\\[\\"n]/g, (mark) => ESCAPED[mark] ?? mark)]);
    rest = rest.slice(whole.length);
    if (rest !== "" && !rest.startsWith(",")) throw new Unreadable(line, "labels without a comma");
    rest = rest.slice(1);
  }
  return Object.fromEntries(found);
}

function valueIn(text: string, line: string): number {
  const special: Readonly<Record<string, number>> = { "+Inf": Infinity, "-Inf": -Infinity, NaN, Nan: NaN };
  if (Object.hasOwn(special, text)) return special[text] ?? NaN;
  if (!/^[-+]?(\d+\.?\d*|\.\d+)([eE][-+]?\d+)?$/.test(text)) throw new Unreadable(line, "no number");
  return Number(text);
}

function sampleIn(line: string): Sample {
  const name = NAME.exec(line)?.[0];
  if (name === undefined) throw new Unreadable(line, "no name");
  const rest = line.slice(name.length);
  const labelled = /^\{(.*)\} ([^ ]+)$/.exec(rest);
  const plain = /^ ([^ ]+)$/.exec(rest);
  const value = labelled?.[2] ?? plain?.[1];
  if (value === undefined) throw new Unreadable(line, "no value");
  return { name, labels: labelsIn(labelled?.[1] ?? "", line), value: valueIn(value, line) };
}

const belongs = ({ name, type }: Family, sample: string): boolean =>
  sample === name ||
  (type === "histogram" && [`${name}_bucket`, `${name}_sum`, `${name}_count`].includes(sample)) ||
  (type === "summary" && [`${name}_sum`, `${name}_count`].includes(sample));

/** Every metric of a text by its name; throws at whatever is not as it must be. */
export function readExposition(text: string): ReadonlyMap<string, Family> {
  const families = new Map<string, Family>();
  const helps = new Map<string, string>();
  let family: Family | undefined;
  if (!text.endsWith("\n")) throw new Unreadable(text.slice(-40), "the last line does not end");
  for (const line of text.split("\n")) {
    if (line === "") continue;
    const help = /^# HELP ([^ ]+) (.+)$/.exec(line);
    const type = /^# TYPE ([^ ]+) (.+)$/.exec(line);
    if (help !== null) {
      const [, name = "", words = ""] = help;
      if (helps.has(name)) throw new Unreadable(line, "help twice");
      helps.set(name, words);
    } else if (type !== null) {
      const [, name = "", kind = ""] = type;
      if (families.has(name)) throw new Unreadable(line, "a metric twice");
      if (!TYPES.includes(kind)) throw new Unreadable(line, "no such type");
      families.set(name, (family = { name, type: kind, help: helps.get(name) ?? "", samples: [] }));
    } else if (line.startsWith("#")) throw new Unreadable(line, "a comment of no kind");
    else {
      const sample = sampleIn(line);
      if (family === undefined || !belongs(family, sample.name)) throw new Unreadable(line, "out of place");
      const same = JSON.stringify([sample.name, sample.labels]);
      if (family.samples.some((each) => JSON.stringify([each.name, each.labels]) === same))
        throw new Unreadable(line, "a series twice");
      family.samples.push(sample);
    }
  }
  return families;
}

/** The sum of a metric's samples whose labels include these. */
export function total(
  families: ReadonlyMap<string, Family>,
  sample: string,
  labels: Readonly<Record<string, string>> = {},
): number {
  const all = [...families.values()].flatMap((family) => family.samples);
  const found = all.filter(
    (each) =>
      each.name === sample && Object.entries(labels).every(([name, value]) => each.labels[name] === value),
  );
  return found.reduce((sum, { value }) => sum + value, 0);
}
