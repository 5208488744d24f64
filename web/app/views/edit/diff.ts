/** What changed from one body to another, in words; the core says it. Rejects when the core is not there. */
export { diff as changesBetween } from "../../state";
