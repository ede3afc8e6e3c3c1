// Print and Proof: which printer gets the page, what it can, and what came of it. Each press is for one print alone.

import { capital, make } from "./dom.js";
import { doing, field, form } from "./fields.js";
import { once, single } from "./once.js";
import { telling } from "./told.js";

/** The part of a screen that prints. `at`: the address of its acts; `what`: what is printed, in words. */
export function printing(found, page, at, what) {
  if (!found) return null;
  const busy = Boolean(found.busy);
  return make("section", { "aria-label": "Print it here" },
    make("h2", {}, "Print it from here"),
    make("p", { class: "quiet" }, "decalgen sends it to your printer itself, at 100 % and without a dialog."),
    chooser(found, page, at, busy),
    said(found.wrong),
    found.none ? make("p", { class: "warning" }, found.none) : null,
    found.can.map((one) => make("p", { class: "quiet" }, one)),
    settings(found),
    found.sent.map((one) => make("p", {}, one)),
    found.chosen ? send(found, page, at, what, busy) : null,
    make("p", { role: "status" }, busy ? `${capital(found.busy)} ...` : found.looking ? `${capital(found.looking)} ...` : ""),
    said(found.said));
}

function chooser(found, page, at, busy) {
  const [wrong, tell] = telling(`${at} choose`);
  const pick = (key, words, options, chosen, title) => make("label", {}, make("span", {}, words), make("select", {
    title, "data-key": `print ${key}`, disabled: busy, onchange: async (event) => tell(await page.ask(`${at}/choose`, { [key]: event.target.value })),
  }, options.map(([kept, shown]) => make("option", { value: kept, selected: kept === chosen }, shown))));
  const kept = found.profile ? `Kept for the profile ${found.profile}.` : "Kept for prints without a profile.";
  return make("div", {},
    make("div", { class: "line" },
      pick("printer", "Printer", found.printers, found.chosen, kept),
      found.trays.length ? pick("tray", "Tray", found.trays, found.tray, "The tray that the sheet lies in, by the printer's own word.") : null,
      found.papers.length ? pick("paper", "Paper type", found.papers, found.paper, "What the printer is to take the sheet for, by its own word.") : null,
      doing(page, `${at}/look`, { key: "look for printers" }, found.looked ? "Look again" : "Look for printers")),
    make("details", {}, make("summary", {}, "A printer by its address"),
      form(page, `${at}/address`, { label: "Address of a printer", button: "Ask it", quiet: true },
        field("print address", "Address", { name: "address", what: "Address", placeholder: "ipp://192.168.1.40/ipp/print", title: "A printer shows its number in its network settings." }))),
    wrong);
}

/** What has to be set by hand, where the dialog prints. */
function settings(found) {
  if (found.chosen !== "dialog") return null;
  return make("div", {}, make("p", {}, "The file is opened, or take it from above. In the dialog set:"),
    make("ul", {}, found.settings.map((one) => make("li", {}, one))));
}

function send(found, page, at, what, busy) {
  const [wrong, tell] = telling(`${at} print`);
  const again = found.again ? make("input", { type: "checkbox", "data-key": "print again", onchange: (event) => { button.disabled = busy || !event.target.checked; } }) : null;
  const label = found.chosen === "dialog" ? `Open ${what}` : found.again ? "Print it once more" : `Print ${what}`;
  const button = make("button", { class: "main", "data-key": "print it", onclick: single(), disabled: busy || Boolean(again) }, label);
  return make("form", { class: "line", onsubmit: (event) => {
    event.preventDefault();
    once(page, `${at} print`, async () => tell(await page.ask(`${at}/print`, { turn: found.turn, again: Boolean(again?.checked) })));
  } }, again ? make("label", { class: "tick" }, again, found.again) : null, button, wrong);
}

/** What came of a print, or of looking for printers. */
function said(found) {
  if (found.wrong) return make("p", { class: "wrong", role: "alert" }, [found.wrong, found.fix].filter(Boolean).join(": "));
  if (!found.lines?.length) return null;
  return make("div", { role: "region", "aria-label": "What was printed" }, make("ul", {}, found.lines.map((one) => make("li", {}, one.trim()))));
}
