// The unit lead's screens. They are one file of their own, which nobody else waits for.

export { Audit } from "./office/audit";
export { Devices } from "./office/devices";
export { Office } from "./office/office";
export { People } from "./office/people";
export { PersonAccount } from "./office/account";
