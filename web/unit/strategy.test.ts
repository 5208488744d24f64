import assert from "node:assert/strict";
import test from "node:test";
import { decide, expired } from "../worker/strategy";

const origin = "https://unit.example";
const files = new Set(["/", "/assets/main-1.js", "/licences.txt"]);

test("every request has one place it is answered from", () => {
  const cases: [why: string, method: string, mode: string, url: string, want: string][] = [
    ["a screen is the one page", "GET", "navigate", "/cards/anna-flip", "cache /"],
    ["so is the start", "GET", "navigate", "/", "cache /"],
    ["a query does not matter", "GET", "navigate", "/cards?surgeon=anna", "cache /"],
    ["a file of the build is itself", "GET", "navigate", "/licences.txt", "cache /licences.txt"],
    ["a script", "GET", "no-cors", "/assets/main-1.js", "cache /assets/main-1.js"],
    ["a script of an older build may still be cached", "GET", "no-cors", "/assets/main-0.js", "cache /assets/main-0.js"],
    ["the API is never answered from here", "GET", "cors", "/api/v1/snapshot", "network"],
    ["not even when opened as a page", "GET", "navigate", "/api/v1/health", "network"],
    ["nor is anything that changes something", "POST", "cors", "/cards", "network"],
    ["other servers are not ours", "GET", "cors", "https://other.example/assets/main-1.js", "network"],
  ];
  for (const [why, method, mode, url, want] of cases) {
    const got = decide({ method, mode, url: new URL(url, origin).href }, origin, files);
    assert.equal(got.from === "cache" ? `cache ${got.path}` : "network", want, why);
  }
});

test("a new build leaves the two newest older caches, and what is not ours", () => {
  const names = ["sideport-a", "pictures", "sideport-b", "sideport-c", "sideport-d"];
  assert.deepEqual(expired(names, "sideport-d"), ["sideport-a"]);
  assert.deepEqual(expired(["sideport-runs", "sideport-skipped", "sideport-c"], "sideport-c"), [], "a build fetched and never taken");
  assert.deepEqual(expired(["sideport-a"], "sideport-a"), []);
  assert.deepEqual(expired(["sideport-b", "sideport-c"], "sideport-b"), [], "back to an older build");
});
