// Beside the sheets: the jobs on them with copies and spares, the film, the drawer as pictures, and how it is nested.

import { make, path } from "./dom.js";
import { draft, drafting, drop } from "./drafts.js";
import { retyped } from "./told.js";

const WORDS = "film words";

export function side(screen, act) {
  return make("aside", { class: "side sheet-side", "aria-label": "Film and jobs" },
    make("h2", {}, "Film"), films(screen, act),
    screen.drawer.length ? [make("h2", {}, "Film drawer"), drawer(screen, act)] : null,
    make("h2", {}, "Jobs on this sheet"), screen.jobs.map((one) => job(one, act)),
    settings(screen, act));
}

function films(screen, act) {
  const field = drafting(WORDS, make("input", { "data-key": "film words", "data-was": "", placeholder: "white 210 × 100 mm", title: "Clear or white, and the size; or a film file that lies beside the job.", autocomplete: "off", spellcheck: "false" }));
  const add = async (words) => { if (!(await act("add_film", { film: words })) && words === field.value) drop(WORDS); };
  const offers = make("select", { "data-key": "film offers", "aria-label": "Add film of a usual size", title: "Film that you put on the sheet, in the order it is used up.", onchange: (event) => event.target.value && add(event.target.value) },
    make("option", { value: "" }, "Add film ..."), screen.offers.map((one) => make("option", {}, one)));
  return make("div", {},
    make("ul", { class: "plain" }, screen.films.map((one) => make("li", {}, make("span", {}, one.words),
      one.chosen ? make("button", { class: "plain", "data-key": `drop ${one.film}`, "aria-label": `Take ${one.words} off`, onclick: () => act("drop_film", { film: one.film }) }, "take off") : null))),
    offers,
    make("details", { open: draft(WORDS) !== undefined }, make("summary", {}, "Film of another size"),
      make("form", { class: "line", onsubmit: (event) => { event.preventDefault(); add(field.value); } },
        make("label", {}, make("span", {}, "Kind and size, or a film file beside the job"), field), make("button", { "data-key": "add film" }, "Add"))));
}

function drawer(screen, act) {
  const widest = Math.max(...screen.drawer.map((one) => Math.max(...one.size)));
  const scale = 84 / widest;
  return make("div", {},
    make("p", { class: "quiet" }, "Press each sheet to print on; no other of the drawer is used."),
    make("div", { class: "drawer" }, screen.drawer.map((one) => make("button", {
      class: one.sheet ? "in-use" : "", "aria-pressed": String(one.chosen), "data-key": `drawer ${one.name}`, onclick: () => act(one.chosen ? "drop_film" : "add_film", { film: one.film }),
    },
      make("svg", { viewBox: `0 ${-one.size[1]} ${one.size[0]} ${one.size[1]}`, width: one.size[0] * scale, height: one.size[1] * scale, role: "img", "aria-label": `${one.name}: ${one.words}` },
        make("g", { transform: "scale(1,-1)" }, make("rect", { class: `sheet-${one.kind}`, width: one.size[0], height: one.size[1] }), path(one.gone, { class: "gone-small" }))),
      make("b", {}, one.name), make("span", {}, one.words), one.chosen ? make("span", { class: "good" }, "chosen") : null, one.sheet ? make("span", { class: "good" }, `sheet ${one.sheet} of this print`) : null))),
    screen.from_drawer ? null : make("button", { "data-key": "from drawer", onclick: () => act("add_film", { film: "drawer" }) }, "Take whichever serves"));
}

function job(one, act) {
  const put = one.own ? null : make("input", { type: "checkbox", checked: one.on, "data-key": `job ${one.file}`, title: "Whether its decals go on this sheet too.", onchange: (event) => act("put_job", { file: one.file, on: event.target.checked }) });
  return make("section", { class: "sheet-job" },
    make(put ? "label" : "p", { class: put ? "tick" : "" }, put, make("span", {}, make("b", {}, one.title), make("span", {}, one.wrong ? "" : one.words))),
    one.wrong ? make("p", { class: "wrong" }, `${one.file} ${one.words}: ${one.wrong}`) : null,
    one.decals.length ? counts(one, act) : null);
}

function counts(one, act) {
  const box = (decal, key) => make("input", {
    inputmode: "numeric", value: String(decal[key]), "data-was": String(decal[key]), "data-key": `count ${one.file} ${decal.name} ${key}`, autocomplete: "off",
    "aria-label": `${key} of ${decal.name}${decal.each}`, title: key === "copies" ? "How many you want; it is a value of the job file." : "How many more, should one go wrong; it is a value of the job file.",
    onchange: async (event) => {
      const { value: to, dataset: { was } } = event.target;
      const failed = await act("count", { file: one.file, decal: decal.name, key, to, was });
      if (!failed) return;
      const field = retyped(`count ${one.file} ${decal.name} ${key}`, to);
      field?.setAttribute("aria-invalid", "true");
      // What another made of it is told; typed again, it is what was seen.
      if (field && failed.theirs) field.dataset.was = failed.theirs;
    },
    onkeydown: (event) => { if (event.key === "Escape") event.target.value = String(decal[key]); },
  });
  return make("details", { class: "counts", open: one.own, "data-key": `counts ${one.file}` }, make("summary", {}, "copies and spares"),
    make("table", {}, make("thead", {}, make("tr", {}, make("th", { scope: "col" }, "decal"), make("th", { scope: "col" }, "copies"), make("th", { scope: "col" }, "spares"))),
      make("tbody", {}, one.decals.map((decal) => make("tr", {},
        make("th", { scope: "row" }, decal.name, decal.each ? make("span", {}, decal.each) : null), make("td", {}, box(decal, "copies")), make("td", {}, box(decal, "spares")))))));
}

function settings(screen, act) {
  const field = (one) => (one.choices.length && one.key !== "effort"
    ? make("select", { "data-key": `setting ${one.key}`, title: one.help, onchange: (event) => act("settle", { key: one.key, to: event.target.value }) },
      one.choices.map((word) => make("option", { value: word, selected: word === one.value }, word || "as it is")))
    : make("input", { "data-key": `setting ${one.key}`, title: one.help, value: one.value, "data-was": one.value, autocomplete: "off", spellcheck: "false", onchange: (event) => act("settle", { key: one.key, to: event.target.value }) }));
  return make("details", { open: sessionStorage.sheetSettings === "open", ontoggle: (event) => { sessionStorage.sheetSettings = event.target.open ? "open" : ""; } }, make("summary", {}, "How it is nested"),
    screen.settings.map((one) => make("label", { class: "setting" }, make("b", {}, one.label), make("span", {}, one.help), field(one))));
}

