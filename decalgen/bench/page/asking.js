// What Draw asks in place: another name for something, and where a change of a value goes.

import { focus, run } from "./adding.js";
import { make } from "./dom.js";
import { drafting, drop, note } from "./drafts.js";
import { asked } from "./told.js";

/** A field in the place of a name. `title`: how the name is shown; `key(name)`: what its `button` is known by. */
export function askName({ what, name, owner, page, title, key, tell, button }) {
  const place = `name ${key(name)}`;
  const field = drafting(place, make("input", { value: name, "data-was": name, "aria-label": `New name of ${name}`, title: "Every place of the file that uses the name is changed with it.", autocomplete: "off", spellcheck: "false" }));
  const back = () => { drop(place); holder.replaceWith(title); button.hidden = false; button.focus(); };
  const keep = async () => {
    if (field.value.trim() === name || !field.value.trim()) return back();
    const to = field.value;
    drop(place);
    if (await run(page, "rename", { what, owner, name, to }, tell)) focus(key(to.trim().replace(/\s+/g, " ")));
    else {
      note(place, to);
      asked(field, key(name))?.setAttribute("aria-invalid", "true");
    }
  };
  const holder = make("span", { class: "fill" }, field);
  field.addEventListener("keydown", (event) => {
    if (event.key === "Enter") { event.preventDefault(); keep(); }
    if (event.key === "Escape") { event.preventDefault(); event.stopPropagation(); back(); }
  });
  title.replaceWith(holder);
  button.hidden = true;
  field.focus();
  field.select();
}

/** Which of several places a change goes to: one of the `ways`, or null. */
export function askWhere(said, ways, holder) {
  return new Promise((done) => {
    const choose = (which) => () => { asking.remove(); done(which); };
    const asking = make("span", { class: "where", role: "group", "aria-label": "Where to change it", onkeydown: (event) => { if (event.key === "Escape") { event.stopPropagation(); choose(null)(); } } },
      make("span", {}, said),
      ways.map((way, n) => make("button", { class: n ? "" : "main", onclick: choose(way) }, way.words)));
    holder.append(asking);
    asking.querySelector("button").focus();
  });
}
