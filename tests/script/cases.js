// The tables of cases that the server's tests read too.
import { readFileSync } from "node:fs";

export const readCases = (name) => JSON.parse(readFileSync(new URL(`../cases/${name}.json`, import.meta.url), "utf8"));
