// Everything a screen is made of. Screens import from here; a part never imports a screen.
export * from "./button";
export * from "./choice";
export * from "./decimal";
export * from "./dialog";
export { described, FieldFrame, TextArea, TextField } from "./field";
export * from "./icon";
export * from "./limits";
export * from "./link";
export * from "./notice";
export { NumberField, Stepper } from "./number";
export * from "./safehtml";
export * from "./screen";
export * from "./tabs";
export * from "./tick";
export { announce, passToast, toast, Toasts } from "./toast";
export * from "./unbroken";
export * from "./when";
export * from "./why";
