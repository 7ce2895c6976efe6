/** What has changed: a stream's name, or one of what stands beside the streams. */
export type Changed = "people" | "seats" | "presence" | "judges" | "standing" | "status" | (string & {});
