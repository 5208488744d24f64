// The screens of the desk: what is written, reckoned or looked up with a
// minute's time. They are one file of their own, which a theatre never waits for.

export { About } from "./about";
export { CaseForm } from "./case";
export { ChangeValue } from "./changevalue";
export { Compare } from "./compare";
export { EditCard } from "./editcard";
export { Help } from "./help";
export { History } from "./history";
export { ListView } from "./list";
export { CardPaper, SheetPaper } from "./paper/paper";
export { PersonView } from "./person";
export { PinDialog } from "./pindialog";
export { Proposals } from "./proposals";
export { Records } from "./records";
export { Reckon } from "./reckon";
export { Risk } from "./risk";
export { Rules } from "./rules";
export { SetAside } from "./setaside";
