// Go's own glue for WebAssembly, put in by web/build from the toolchain that compiles the core.
declare module "wasm_exec";
