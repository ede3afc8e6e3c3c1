// Proof: its bars read from a scan that is chosen or dropped.

import { bring, chooser, takesPictures } from "./bringing.js";
import { make, reason } from "./dom.js";
import { drafting } from "./drafts.js";
import { once, single } from "./once.js";
import { telling, untold } from "./told.js";

export const TOLD = "proof scan"; // under this it is told why a scan was not taken in
const held = new Map(); // by job: the scan that was brought last, to be read again once what was wrong is put right
const sent = new Set(); // the jobs whose scan is being read
const CARD = "card beside a page";
const BESIDE = ""; // the same card lies beside the proofs of all jobs

/** The way in from a scan, dropped on `root`. `said()`: the code and the sheet as they are typed; `used()`: they were good. */
export function byScan(root, screen, page, said, used) {
  const [job, scan] = [page.view.job, screen.scan];
  const [wrong, tell] = telling(TOLD, { stays: true });
  if (!scan.busy && sent.delete(job) && scan.read) {
    used();
    held.delete(job);
  }
  const read = (file) => once(page, TOLD, async () => {
    document.activeElement?.blur(); // a screen that is typed in is not drawn anew
    held.set(job, file);
    tell(null);
    const failed = await bring(page, "/proof_scan", file, { ...said(), card: card.value.trim() }, () => sent.add(job));
    if (!failed) return;
    if (failed.unread) held.delete(job);
    tell(failed);
    await page.go({});
  });
  const card = drafting(CARD, make("input", { "data-key": "card", autocomplete: "off", spellcheck: "false", placeholder: "85.60 x 53.98 mm", title: "Width and height; left empty, as ISO/IEC 7810 has them. Measured with a caliper, the card tells more.", value: "", "data-was": "", oninput: () => untold(TOLD) }), BESIDE);
  takesPictures(root, read);
  const again = !scan.busy && held.get(job);
  return make("section", { class: "by-scan", "aria-label": "The bars from a scan" },
    make("h2", {}, "Or read the bars from a scan"),
    make("p", {}, "Type the code above, then choose the scan, or drop it anywhere on this screen. It is only read."),
    make("details", {}, make("summary", {}, "How to scan it"), make("ul", { class: "shapes" }, scan.how.map((one) => make("li", {}, one)))),
    make("div", { class: "line" },
      make("label", {}, make("span", {}, "The card's size, if you measured it"), card),
      again ? make("button", { type: "button", class: "main", "data-key": "read scan again", onclick: single(() => read(again)) }, `Read ${again.name} again`) : null,
      chooser(again ? "Choose another scan" : "Read the bars from a scan", read, { key: "choose scan", label: "Scan of the proof", title: "A PNG, JPEG or TIFF picture; it can be dropped on this screen too.", disabled: Boolean(screen.busy) })),
    scan.busy ? make("p", { class: "stage", role: "status" }, make("progress", { "aria-label": "Reading" }), " Reading the scan ...") : null,
    wrong,
    scan.wrong ? make("p", { class: "wrong", role: "alert" }, reason({ message: scan.wrong.wrong, fix: scan.wrong.fix })) : null);
}
