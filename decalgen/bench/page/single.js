/** Whether keys of a single character do anything: kept for this browser, chosen where the keys are told. */
export const singleKeys = () => localStorage.singleKeys !== "off";
