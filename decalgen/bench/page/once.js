// What makes or books something is done once for one press; an arrow or a + is pressed again on purpose.

const going = new Set();

/** Does it, unless the same is on its way: until its answer is drawn, the screen shows what is done already. */
export function once(page, of, what) {
  if (going.has(of)) return null;
  going.add(of);
  return what().then(page.drawn).finally(() => going.delete(of));
}

/** A double click's second click, however fast the answer was, is no press. */
export const single = (what) => (event) => (event.detail > 1 ? event.preventDefault() : what?.());

export const press = (page, of, what) => single(() => once(page, of, what));
