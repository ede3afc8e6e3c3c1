// Another job is shown in the same tab: what scripts remember of the one before goes then.

const forgetting = [];

/** Has something of a job forgotten once another one is shown. */
export const onTurn = (forget) => forgetting.push(forget);

export const turned = () => forgetting.forEach((forget) => forget());
