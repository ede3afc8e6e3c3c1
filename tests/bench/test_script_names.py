"""Every name in the page's scripts is one that is there: of the script itself, of another one, or of the browser."""

from __future__ import annotations

import re

import pytest

from decalgen.bench.server import PARTS
from tests.helpers.script_names import names_of, strays

BROWSER = {
    *"""
    AbortController Array Blob Boolean BroadcastChannel CSS DOMPoint Date Error Event EventSource FileReader FormData
    Infinity Intl JSON Map Math Number Object Promise ResizeObserver Set String URLSearchParams Uint32Array
    addEventListener cancelAnimationFrame clearInterval clearTimeout crypto devicePixelRatio document
    encodeURIComponent fetch history innerHeight innerWidth localStorage location matchMedia navigator performance
    queueMicrotask removeEventListener requestAnimationFrame sessionStorage setInterval setTimeout window
    """.split(),  # noqa: SIM905
}
"""What a browser has by itself, of the HTML, DOM and ECMAScript standards, as far as the page uses it."""


@pytest.fixture(scope="module")
def scripts() -> dict[str, str]:
    return {path.name: path.read_text(encoding="utf-8") for path in sorted(PARTS.glob("*.js"))}


def test_every_name_in_the_scripts_is_there(scripts: dict[str, str]) -> None:
    assert not strays(scripts, BROWSER)


def test_what_is_said_to_be_the_browser_s_is_used(scripts: dict[str, str]) -> None:
    free = {name for script in scripts.values() for name in names_of(script).free}
    assert free == BROWSER


def test_every_script_is_read_by_another_or_by_the_page(scripts: dict[str, str]) -> None:
    asked = {script for text in scripts.values() for script, _, _ in names_of(text).asks}
    shell = re.findall(r'src="/app/([\w.]+)"', (PARTS / "index.html").read_text(encoding="utf-8"))
    assert asked | set(shell) == set(scripts)


OF_A_SCREEN = {"show", "hear", "KEYS"}
"""What main.js asks of whichever screen is shown."""
TOGETHER = {
    ("panels.js", "adding"),
    ("panels.js", "managing"),
    ("panels.js", "readingOf"),
    ("measuring_card.js", "card"),
    ("asking.js", "askWhere"),
}
"""What measure.js takes of two scripts that it reads by one function, and adding.js of what one of its own gives."""


def test_what_a_script_gives_is_asked_for(scripts: dict[str, str]) -> None:
    read = {name: names_of(script) for name, script in scripts.items()}
    asked = {(script, name) for one in read.values() for script, name, _ in one.asks}
    screens = re.findall(r"^  \w+: \(again\) => import\(`\./([\w.]+)\$\{again\}`\)", scripts["main.js"], re.MULTILINE)
    assert screens and all("show" in read[name].gives for name in screens)
    given = {(script, name) for script, one in read.items() for name in one.gives}
    left = {(script, name) for script, name in given - asked if not (script in screens and name in OF_A_SCREEN)}
    assert left == TOGETHER


def test_what_screens_ask_of_the_page_is_there(scripts: dict[str, str]) -> None:
    keys = {}
    for name, given in (("desk", "const desk = () => ("), ("whole", "  const whole = ")):
        (there,) = re.findall(rf"^{re.escape(given)}\{{(.*)\}}\)?;", scripts["main.js"], re.MULTILINE)
        keys[name] = {one.split(":")[0].strip() for one in there.split(",")}
    asked = {name: set(re.findall(r"\bpage\??\.(\w+)", script)) for name, script in scripts.items()}
    # What tells of trouble is given either.
    assert asked["draw.js"] and asked.pop("trouble.js") <= keys["desk"] | keys["whole"]
    assert set().union(*asked.values()) <= keys["desk"]


FAULTS = {
    "a function that was removed": (
        *("draw.js", "const figuresOf = ", "const figuresOnce = "),
        "nothing is called figuresOf",
    ),
    "a name that another script does not give": (
        *("draw.js", "import { figures, ticks }", "import { figures, tick as ticks }"),
        "measures.js gives no tick",
    ),
    "a script that is not there": ("sheet.js", 'from "./dom.js"', 'from "./doms.js"', "there is no doms.js"),
    "a variable of a block that has ended": (
        *("wire.js", "unsay(GONE);", "unsay(GONE); { const answered = 1; } say(answered);"),
        "nothing is called answered",
    ),
    "a part of a script that is read later": (
        *("draw.js", "naming?.names(", "naming?.namings("),
        "names.js gives no namings",
    ),
    "a name out of a script that is read later": ("main.js", "{ showNext }", "{ showNow }", "next.js gives no showNow"),
    "a default of a parameter": (
        *("dom.js", "make(name, more = {}", "make(name, more = nothing"),
        "nothing is called nothing",
    ),
    "a name brought in and not used": (
        *("dom.js", "const SVG", 'import { say } from "./passing.js";\nconst SVG'),
        "say is never read",
    ),
}


@pytest.mark.parametrize("fault", FAULTS)
def test_a_planted_fault_is_found(scripts: dict[str, str], fault: str) -> None:
    name, was, now, said = FAULTS[fault]
    assert was in scripts[name]
    found = strays(scripts | {name: scripts[name].replace(was, now)}, BROWSER)
    assert any(one.startswith(name) and one.endswith(said) for one in found), found


PLAIN = {
    "a name above its declaration": "export const f = () => g(); const g = () => 1;",
    "patterns": "export const f = ({ a, b: [c, ...d], e = a }, ...g) => [a, c, d, e, g];",
    "keys are no names": "export const f = (one) => ({ key: one.member, [one]: 1 });",
    "a loop": "export const f = (some) => { for (const [key, one] of some) f(key, one); };",
    "a counted loop": "export const f = () => { for (let n = 0; n < 3; n += 1) f(n); };",
    "a catch": "export const f = () => { try { f(); } catch (error) { f(error); } };",
    "a function's own name": "export const f = () => (function g() { return g; });",
}


@pytest.mark.parametrize("case", PLAIN)
def test_what_is_in_order_is_not_called_a_fault(case: str) -> None:
    assert not strays({"plain.js": PLAIN[case]}, set())


def test_a_name_set_without_being_declared_is_found() -> None:
    assert strays({"plain.js": "export const f = () => { [a, { b }] = f(); };"}, set()) == [
        "plain.js:1: nothing is called a",
        "plain.js:1: nothing is called b",
    ]


def test_what_is_no_script_is_refused() -> None:
    with pytest.raises(AssertionError, match="cannot be read"):
        names_of("const = 1;")
