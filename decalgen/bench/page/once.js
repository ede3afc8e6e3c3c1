// What makes or books something is done once for one press. Not so what is pressed again on purpose, as an arrow or a + is.

const going = new Set();

/** Does it, unless the same is on its way: until the screen is drawn with its answer, what it shows was answered before. */
export async function once(page, of, what) {
  if (going.has(of)) return;
  going.add(of);
  try {
    await what();
    await page.drawn();
  } finally {
    going.delete(of);
  }
}

/** The second click of a double click, however fast the answer was, is none of its own. */
export const single = (what) => (event) => (event.detail > 1 ? event.preventDefault() : what?.());

export const press = (page, of, what) => single(() => once(page, of, what));
