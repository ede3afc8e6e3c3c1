// What makes or books something is done once for one press; an arrow or a + is pressed again on purpose.

const going = new Set();

/** Does it, unless the same is on its way: until its answer is drawn, what the screen shows is answered already. */
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

/** The second click of a double click, however fast the answer was, is no press. */
export const single = (what) => (event) => (event.detail > 1 ? event.preventDefault() : what?.());

export const press = (page, of, what) => single(() => once(page, of, what));
