// What is typed and not entered yet: noted by this browser, by job and place, until it is. A tab that is closed loses none.

const noted = (place, job) => `draft ${JSON.stringify([job, place])}`;
const here = () => sessionStorage.job ?? "";

/** What was typed there and not entered; undefined where nothing was. `job`: "" of what lies beside the jobs. */
export const draft = (place, job = here()) => localStorage[noted(place, job)];

/** Whether anything was typed at a place that begins so. */
export const drafted = (start) => Object.keys(localStorage).some((key) => key.startsWith(noted(start, here()).slice(0, -2)));

export function note(place, text, job = here()) {
  try {
    localStorage[noted(place, job)] = text;
  } catch {
    // A browser that notes no more still shows what is typed.
  }
}

/** It was entered, or thought better of. Gives what was typed. */
export function drop(place, job = here()) {
  const text = draft(place, job);
  delete localStorage[noted(place, job)];
  return text;
}

/** Has a box hold what was typed into it before, and notes what is typed now. */
export function drafting(place, box, job = here()) {
  box.value = draft(place, job) ?? box.value;
  box.addEventListener("input", () => (box.value === box.dataset.was ? drop(place, job) : note(place, box.value, job)));
  return box;
}

/** Tells of each place of a job whose draft another tab entered or left. */
export const dropped = (told) => addEventListener("storage", (event) => {
  if (event.newValue === null && event.key?.startsWith("draft ")) told(...JSON.parse(event.key.slice(6)));
});
