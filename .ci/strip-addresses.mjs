// After `npm run lock`: takes the pages that ask for donations out of the lock file, which names no address.
import { readFileSync, writeFileSync } from "node:fs";

const PATH = new URL("package-lock.json", import.meta.url);
const lock = JSON.parse(readFileSync(PATH, "utf8"));
for (const one of Object.values(lock.packages)) delete one.funding;
writeFileSync(PATH, JSON.stringify(lock, null, 1) + "\n");
