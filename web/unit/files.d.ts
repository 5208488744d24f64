// What the tests of the drawings use of Node to compare with files.
declare module "node:fs" {
  export function readFileSync(path: string, encoding: "utf8"): string;
  export function writeFileSync(path: string, text: string): void;
  export function mkdirSync(path: string, options: { recursive: boolean }): void;
  export function readdirSync(path: string): string[];
}
declare module "node:process" {
  const process: { env: Record<string, string | undefined> };
  export default process;
}
