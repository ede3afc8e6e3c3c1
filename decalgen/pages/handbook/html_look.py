"""How the handbook looks on a screen: one sheet of styles, light and dark, wide and narrow, from the project's look."""

from __future__ import annotations

import re
from collections.abc import Mapping

from decalgen.core import style

# On a wide screen the contents are always open; where a browser does not know how, they open by a click.
_FONT = "@font-face{{font-family:decalgen;font-weight:{weight};src:url(data:font/woff;base64,{data}) format('woff')}}\n"

_STYLES = """\
:root{color-scheme:light dark;--ground:GROUND;--text:TEXT;--quiet:QUIET;--accent:ACCENT;--rule:RULE;--tint:TINT_CODE}
@media (prefers-color-scheme:dark){:root{--ground:NIGHT_GROUND;--text:NIGHT_TEXT;--quiet:NIGHT_QUIET;
--accent:NIGHT_ACCENT;--rule:NIGHT_RULE;--tint:NIGHT_TINT_CODE}}
*{box-sizing:border-box}
html{scroll-padding-top:1rem}
body{margin:0;background:var(--ground);color:var(--text);font:16px/1.6 decalgen,system-ui,sans-serif;
font-variant-numeric:tabular-nums lining-nums;overflow-wrap:break-word}
a{color:var(--accent);text-underline-offset:.15em;text-decoration-thickness:.06em}
a:focus-visible,pre:focus-visible,.table:focus-visible,summary:focus-visible{outline:2px solid var(--accent);
outline-offset:2px}
.skip{position:absolute;left:-99rem}
.skip:focus{left:1rem;top:1rem;background:var(--ground);padding:.5rem 1rem;z-index:1}
main{max-width:46rem;margin:0 auto;padding:1.5rem 1.25rem 5rem}
nav{padding:1.25rem;border-bottom:1px solid var(--rule);font-size:.9rem;line-height:1.4}
nav summary{font-weight:700;cursor:pointer}
nav ol{padding-left:1.6rem}
nav li{margin:.45rem 0 0}
nav ul{list-style:none;padding-left:0;margin:0}
nav ul li{margin:.2rem 0 0}
nav a{color:var(--text);text-decoration:none}
nav ul a{color:var(--quiet)}
nav a:hover{color:var(--accent);text-decoration:underline}
@media (min-width:70rem){body{display:grid;grid-template-columns:18rem minmax(0,1fr)}
nav{position:sticky;top:0;height:100vh;overflow-y:auto;border-bottom:0;border-right:1px solid var(--rule);
padding:1.75rem 1.25rem}
nav details::details-content{content-visibility:visible;display:block;height:auto}
@supports selector(::details-content){nav summary{pointer-events:none;list-style:none}
nav summary::-webkit-details-marker{display:none}}
main{margin:0;padding:2.5rem 3rem 6rem;max-width:54rem}}
h1,h2,h3,h4{line-height:1.2;font-weight:700;text-wrap:balance}
.title{font-size:2.5rem;margin:.5rem 0 0}
.about{font-size:1.25rem;color:var(--quiet);margin:.5rem 0 0}
section{margin-top:4rem}
h2{font-size:1.9rem;margin:0 0 1rem;padding-top:1rem;border-top:2px solid var(--text)}
h2 .number{color:var(--accent);margin-right:.35em}
h3{font-size:1.25rem;margin:2.4rem 0 .6rem;color:var(--accent)}
h4{font-size:1rem;margin:1.6rem 0 .4rem}
p{margin:0 0 .9rem}
ul,ol{margin:0 0 .9rem;padding-left:1.4rem}
li p{margin:0 0 .35rem}
code{background:var(--tint);border-radius:3px;padding:.08em .28em;
font:.9em/1.5 ui-monospace,SFMono-Regular,Menlo,Consolas,"DejaVu Sans Mono",monospace}
pre{line-height:1.45;background:var(--tint);padding:.85rem 1rem;border-radius:6px;overflow-x:auto;margin:0 0 1.1rem}
pre code{background:none;padding:0;font-size:.84rem;line-height:inherit}
figure{margin:1.5rem 0}
figure img{display:block;width:auto;max-width:100%;height:auto;background:#fff;border:1px solid var(--rule);
border-radius:6px}
figcaption{color:var(--quiet);font-size:.88rem;margin-top:.5rem}
.table{overflow-x:auto;margin:0 0 1.3rem}
table{border-collapse:collapse;font-size:.9rem;line-height:1.45;width:100%}
th{text-align:left;border-bottom:2px solid var(--text);padding:.4rem .9rem .4rem 0;vertical-align:bottom}
td{border-bottom:1px solid var(--rule);padding:.45rem .9rem .45rem 0;vertical-align:top;min-width:5.5rem}
code.short{white-space:nowrap}
.index{columns:15rem;column-gap:2rem;font-size:.92rem;line-height:1.4}
.index h3{margin:1.1rem 0 .3rem;break-after:avoid}
.index p{margin:0 0 .25rem;padding-left:1rem;text-indent:-1rem;break-inside:avoid}
.index span{color:var(--quiet);margin-left:.3em}
footer{color:var(--quiet);margin-top:4rem;border-top:1px solid var(--rule);padding-top:.75rem;font-size:.88rem}
@media print{nav,.skip{display:none}section{break-before:page}}
"""


def sheet_of_styles(fonts: Mapping[str, str]) -> str:
    """The styles, with the two weights of the paper face inside (base64)."""
    text = re.sub(r"(?<=:)(?:NIGHT_)?(?:GROUND|TEXT|QUIET|ACCENT|RULE|TINT_CODE)\b", _colour, _STYLES)
    weights = (("400", fonts["book"]), ("700", fonts["bold"]))
    return "".join(_FONT.format(weight=weight, data=data) for weight, data in weights) + text


def _colour(name: re.Match[str]) -> str:
    return str(getattr(style, name[0]))
