"""Mistakes that people make who never heard of YAML, planted one at a time into two good jobs.

Each is a name, what stands in the good job, and what is written instead; and what becomes of it: ``READ`` as meant;
``MENDED``: the message shows the line as it should read, and with it every value is that of the good job; ``SOUND``:
with that line the file has no mistake, though what is written is not what the good job has; ``WORDS``: told in words
alone, because what was meant cannot be known.
"""

# ruff: noqa: E501

from __future__ import annotations

READ, MENDED, SOUND, WORDS = "read", "mended", "sound", "words"

LONG = """\
job: tug
title: Harbour tug
scale: "1:43"
date: "2026-03-14"
body: navy
film: white

paints:
  navy: "#1d2b4a"

inks:
  harbour teal: "#127077"
  rope cream: "#e4cba0"

panels:
  door:
    width: 22.40 mm ± 0.05
    height: 11.60 mm ± 0.05
    obstacles:
      handle:
        circle: 2 mm
        at: [18 mm, 9 mm]
        clearance: 0.3 mm

decals:
  door band:
    panel: door
    hands: both
    at: bottom
    width: panel.width - 2 mm
    height: 4 mm
    artwork:
      - field:
          ink: harbour teal
      - checks:
          rows: 2
          columns: 12
          height: 1.6 mm
          at: top
          inks: [rope cream, harbour teal]
      - lettering:
          text: HARBOUR STORES
          cap height: 1.4 mm
          at: bottom + 0.5 mm
          ink: rope cream
"""

SHORT = """\
job: tug
body: "#1d2b4a"
film: white
inks: {harbour teal: {colour: "#127077"}, rope cream: {colour: "#e4cba0"}}
panels: {door: {width: 22.40 mm ± 0.05, height: 11.60 mm ± 0.05}}
decals:
  door band: {panel: door, hands: both, at: bottom, width: panel.width - 2 mm, height: 4 mm, artwork: [
    field: {ink: harbour teal},
    checks: {rows: 2, columns: 12, height: 1.6 mm, at: top, inks: [rope cream, harbour teal]},
    lettering: {text: HARBOUR STORES, cap height: 1.4 mm, at: bottom + 0.5 mm, ink: rope cream}]}
"""

IN_LONG: tuple[tuple[str, str, str, str], ...] = (
    ('no blank after colon', 'film: white', 'film:white', MENDED),
    ('no blank, length', '    height: 11.60 mm \xb1 0.05', '    height:11.60 mm \xb1 0.05', MENDED),
    ('no blank, in list', '          rows: 2', '          rows:2', MENDED),
    ('no blank, group key with quote', '  navy: "#1d2b4a"', '  navy:"#1d2b4a"', MENDED),
    ('blank before colon', 'film: white', 'film : white', READ),
    ('no colon', 'film: white', 'film white', MENDED),
    ('no colon on group', 'panels:\n', 'panels\n', MENDED),
    ('no colon on group 2', '  door band:\n', '  door band\n', MENDED),
    ('equals', 'film: white', 'film = white', MENDED),
    ('equals2', 'film: white', 'film=white', MENDED),
    ('semicolon end', 'film: white', 'film: white;', MENDED),
    ('comma at end', 'film: white', 'film: white,', MENDED),
    ('comma at end length', '    height: 4 mm', '    height: 4 mm,', MENDED),
    ('fullwidth colon', 'film: white', 'film\uff1awhite', MENDED),
    ('fullwidth colon sp', 'film: white', 'film\uff1a white', MENDED),
    ('fullwidth comma', '[rope cream, harbour teal]', '[rope cream\uff0c harbour teal]', MENDED),
    ('nbsp after colon', 'film: white', 'film:\xa0white', READ),
    ('nbsp indent', '    height: 4 mm', '\xa0\xa0\xa0\xa0height: 4 mm', READ),
    ('nbsp in key', '          cap height: 1.4', '          cap\xa0height: 1.4', READ),
    ('nbsp in ink name', '          ink: rope cream', '          ink: rope\xa0cream', READ),
    ('ideographic space', '    height: 4 mm', '\u3000\u3000height: 4 mm', MENDED),
    ('tab indent', '    height: 4 mm', '\theight: 4 mm', MENDED),
    ('tab indent all deco', '    height: 11.60 mm \xb1 0.05\n', '\t\theight: 11.60 mm \xb1 0.05\n', MENDED),
    ('tab after colon', 'film: white', 'film:\twhite', MENDED),
    ('tab in value', 'text: HARBOUR STORES', 'text: HARBOUR\tSTORES', MENDED),
    ('tab after value', 'film: white', 'film: white\t', MENDED),
    ('tab before comment', 'film: white', 'film: white\t# x', MENDED),
    ('tab in bracket', '[rope cream, harbour teal]', '[rope cream,\tharbour teal]', READ),
    ('curly quotes double', 'scale: "1:43"', 'scale: \u201c1:43\u201d', MENDED),
    ('curly quotes colour', '  navy: "#1d2b4a"', '  navy: \u201c#1d2b4a\u201d', MENDED),
    ('curly quotes word', 'job: tug', 'job: \u201ctug\u201d', MENDED),
    ('curly single', 'job: tug', 'job: \u2018tug\u2019', MENDED),
    ('german quotes', 'job: tug', 'job: \u201etug\u201c', MENDED),
    ('guillemets', 'job: tug', 'job: \xabtug\xbb', MENDED),
    ('curly open only colour', '  navy: "#1d2b4a"', '  navy: "#1d2b4a\u201d', MENDED),
    ('quote not closed', 'scale: "1:43"', 'scale: "1:43', MENDED),
    ('single quote not closed', 'scale: "1:43"', "scale: '1:43", MENDED),
    ('apostrophe at start', 'title: Harbour tug', "title: 'Harbour tug", MENDED),
    ('apostrophe in sq', 'text: HARBOUR STORES', "text: 'SMITH'S'", SOUND),
    ('quotes in dq', 'text: HARBOUR STORES', 'text: "THE "BELL""', SOUND),
    ('text after quote', 'text: HARBOUR STORES', 'text: "HARBOUR" STORES', SOUND),
    ('backslash', 'text: HARBOUR STORES', 'text: "A\\dir"', SOUND),
    ('hash colour', '  navy: "#1d2b4a"', '  navy: #1d2b4a', MENDED),
    ('hash colour ink', '  rope cream: "#e4cba0"', '  rope cream: #e4cba0', MENDED),
    ('hash body', 'body: navy', 'body: #1d2b4a', SOUND),
    ('hash in text', 'text: HARBOUR STORES', 'text: STORES #7', SOUND),
    ('hash in list', '[rope cream, harbour teal]', '[rope cream, #127077]', WORDS),
    ('colour no hash', '  navy: "#1d2b4a"', '  navy: 1d2b4a', MENDED),
    ('colour no hash q', '  navy: "#1d2b4a"', '  navy: "1d2b4a"', MENDED),
    ('colour short', '  navy: "#1d2b4a"', '  navy: "#1d2b4"', WORDS),
    ('colour space hash', '  navy: "#1d2b4a"', '  navy: "# 1d2b4a"', MENDED),
    ('colour 0x', '  navy: "#1d2b4a"', '  navy: 0x1d2b4a', MENDED),
    ('comma decimal', '    height: 4 mm', '    height: 4,5 mm', SOUND),
    ('comma decimal pm', '    height: 11.60 mm \xb1 0.05', '    height: 11,60 mm \xb1 0,05', MENDED),
    ('comma dec in list', '[18 mm, 9 mm]', '[18,5 mm, 9 mm]', SOUND),
    ('comma dec in list both', '[18 mm, 9 mm]', '[18,5 mm, 9,5 mm]', SOUND),
    ('no unit', '    height: 4 mm', '    height: 4', MENDED),
    ('no unit comma', '    height: 4 mm', '    height: 4,5', SOUND),
    ('unit caps', '    height: 4 mm', '    height: 4 MM', MENDED),
    ('unit caps2', '    height: 4 mm', '    height: 4 Mm', MENDED),
    ('plus minus ascii', '22.40 mm \xb1 0.05', '22.40 mm +- 0.05', READ),
    ('pm mangled', '22.40 mm \xb1 0.05', '22.40 mm \xc2\xb1 0.05', MENDED),
    ('plus minus only', '22.40 mm \xb1 0.05', '22.40 mm \xb1', WORDS),
    ('letter o', '22.40 mm \xb1 0.05', '22.4O mm \xb1 0.05', MENDED),
    ('letter l', '    height: 4 mm', '    height: l mm', SOUND),
    ('dash minus', 'panel.width - 2 mm', 'panel.width \u2013 2 mm', MENDED),
    ('times x', 'panel.width - 2 mm', '2 x 4 mm', SOUND),
    ('times sign', 'panel.width - 2 mm', 'panel.width \xd7 2', READ),
    ('no operator', 'panel.width - 2 mm', '2 panel.width', SOUND),
    ('bracket not closed list', 'at: [18 mm, 9 mm]', 'at: [18 mm, 9 mm', MENDED),
    ('bracket not closed list2', 'inks: [rope cream, harbour teal]', 'inks: [rope cream, harbour teal', MENDED),
    ('bracket not opened', 'at: [18 mm, 9 mm]', 'at: 18 mm, 9 mm]', MENDED),
    ('bracket missing both', 'at: [18 mm, 9 mm]', 'at: 18 mm, 9 mm', MENDED),
    ('bracket missing both inks', 'inks: [rope cream, harbour teal]', 'inks: rope cream, harbour teal', MENDED),
    ('bracket wrong close', 'at: [18 mm, 9 mm]', 'at: [18 mm, 9 mm}', MENDED),
    ('bracket round', 'at: [18 mm, 9 mm]', 'at: (18 mm, 9 mm)', MENDED),
    ('bracket braces', 'at: [18 mm, 9 mm]', 'at: {18 mm, 9 mm}', MENDED),
    ('bracket extra', 'at: [18 mm, 9 mm]', 'at: [18 mm, 9 mm]]', MENDED),
    ('semicolon in list', '[18 mm, 9 mm]', '[18 mm; 9 mm]', MENDED),
    ('no comma in list', '[rope cream, harbour teal]', '[rope cream harbour teal]', MENDED),
    ('no comma in list2', '[18 mm, 9 mm]', '[18 mm 9 mm]', MENDED),
    ('no comma quoted', '[rope cream, harbour teal]', '["rope cream" "harbour teal"]', MENDED),
    ('double comma', '[18 mm, 9 mm]', '[18 mm,, 9 mm]', MENDED),
    ('fullwidth bracket', 'at: [18 mm, 9 mm]', 'at: \uff3b18 mm, 9 mm\uff3d', MENDED),
    ('indent too much', '    height: 4 mm', '      height: 4 mm', MENDED),
    ('indent one too much', '    height: 4 mm', '     height: 4 mm', MENDED),
    ('indent one less', '    height: 4 mm', '   height: 4 mm', MENDED),
    ('indent two less', '    height: 4 mm', '  height: 4 mm', MENDED),
    ('indent none', '    height: 4 mm', 'height: 4 mm', MENDED),
    ('indent shape keys same', '          rows: 2', '      rows: 2', MENDED),
    ('indent shape keys less', '          rows: 2', '         rows: 2', MENDED),
    ('indent shape keys under shape name', '      - field:\n          ink: harbour teal', '      - field:\n        ink: harbour teal', MENDED),
    ('indent first of group', '    width: 22.40 mm \xb1 0.05', '   width: 22.40 mm \xb1 0.05', MENDED),
    ('indent first of group more', '    width: 22.40 mm \xb1 0.05', '      width: 22.40 mm \xb1 0.05', MENDED),
    ('top level indented', 'film: white', ' film: white', MENDED),
    ('panel not indented', '  door:\n', 'door:\n', MENDED),
    ('missing dash', '      - checks:', '        checks:', READ),
    ('missing dash same col', '      - checks:', '      checks:', MENDED),
    ('missing all dashes', '      - field:\n          ink: harbour teal\n      - checks:', '      field:\n          ink: harbour teal\n      checks:', SOUND),
    ('dash no blank', '      - checks:', '      -checks:', MENDED),
    ('dash no blank list', 'inks: [rope cream, harbour teal]', 'inks:\n            -rope cream\n            -harbour teal', MENDED),
    ('unicode dash', '      - checks:', '      \u2013 checks:', MENDED),
    ('bullet', '      - checks:', '      \u2022 checks:', MENDED),
    ('star bullet', '      - checks:', '      * checks:', MENDED),
    ('dash before key', '    height: 4 mm', '    - height: 4 mm', MENDED),
    ('dash for panel', '  door:\n', '  - door:\n', MENDED),
    ('key no value', 'film: white', 'film:', WORDS),
    ('key no value len', '    height: 4 mm', '    height:', WORDS),
    ('group no value', 'inks:\n', 'ink:\n', WORDS),
    ('panels empty', '  door:\n    width: 22.40 mm \xb1 0.05\n    height: 11.60 mm \xb1 0.05\n    obstacles:\n      handle:\n        circle: 2 mm\n        at: [18 mm, 9 mm]\n        clearance: 0.3 mm\n', '', WORDS),
    ('dup key', '    height: 4 mm', '    height: 4 mm\n    height: 5 mm', WORDS),
    ('caps key', 'film: white', 'Film: white', MENDED),
    ('caps value', 'film: white', 'film: White', MENDED),
    ('caps value2', 'hands: both', 'hands: Both', MENDED),
    ('underscore', '          cap height:', '          cap_height:', MENDED),
    ('hyphen key', '          cap height:', '          cap-height:', MENDED),
    ('camel key', '          cap height:', '          capHeight:', MENDED),
    ('joined key', '          cap height:', '          capheight:', MENDED),
    ('double blank key', '          cap height:', '          cap  height:', MENDED),
    ('typo key', '    height: 4 mm', '    heigth: 4 mm', WORDS),
    ('plural', '  navy: "#1d2b4a"\n\ninks', '  navy: "#1d2b4a"\n\nInks', MENDED),
    ('two keys one line', '    hands: both\n    at: bottom\n', '    hands: both at: bottom\n', MENDED),
    ('two keys one line comma', '    hands: both\n    at: bottom\n', '    hands: both, at: bottom\n', MENDED),
    ('text with colon', 'title: Harbour tug', 'title: Harbour: a tug', SOUND),
    ('text with colon in lettering', 'text: HARBOUR STORES', 'text: TEL: 147', SOUND),
    ('text begins with quote word', 'text: HARBOUR STORES', 'text: "THE BELL" INN', SOUND),
    ('text &', 'text: HARBOUR STORES', 'text: & SONS', SOUND),
    ('text *', 'text: HARBOUR STORES', 'text: *NEW*', SOUND),
    ('text !', 'text: HARBOUR STORES', 'text: !STOP', SOUND),
    ('text %', 'text: HARBOUR STORES', 'text: %5', SOUND),
    ('text @', 'text: HARBOUR STORES', 'text: @work', SOUND),
    ('text backtick', 'text: HARBOUR STORES', 'text: `x`', SOUND),
    ('text -', 'text: HARBOUR STORES', 'text: - A -', SOUND),
    ('text ?', 'text: HARBOUR STORES', 'text: ? what', SOUND),
    ('text >', 'text: HARBOUR STORES', 'text: > right', SOUND),
    ('text bar', 'text: HARBOUR STORES', 'text: | right', SOUND),
    ('text [', 'text: HARBOUR STORES', 'text: [A] B', SOUND),
    ('text {', 'text: HARBOUR STORES', 'text: {A} B', SOUND),
    ('text null', 'text: HARBOUR STORES', 'text: null', SOUND),
    ('text ~', 'text: HARBOUR STORES', 'text: ~', SOUND),
    ('scale unquoted', 'scale: "1:43"', 'scale: 1:43', READ),
    ('scale num', 'scale: "1:43"', 'scale: 43', MENDED),
    ('date german', 'date: "2026-03-14"', 'date: 14.3.2026', MENDED),
    ('date slash', 'date: "2026-03-14"', 'date: 14/03/2026', MENDED),
    ('date unq', 'date: "2026-03-14"', 'date: 2026-03-14', READ),
    ('date short', 'date: "2026-03-14"', 'date: 2026-3-14', MENDED),
    ('y', '    hands: both', '    turn: y\n    hands: both', SOUND),
    ('ja', '    hands: both', '    turn: 1\n    hands: both', SOUND),
    ('comment //', 'film: white', 'film: white // the best', MENDED),
    ('comment no blank', 'film: white', 'film: white#best', MENDED),
    ('comment semicolon', 'film: white', '; note\nfilm: white', MENDED),
    ('comment slash line', 'film: white', '// note\nfilm: white', MENDED),
    ('document end', 'film: white', '---\nfilm: white', MENDED),
    ('zero width', 'film: white', 'film: wh\u200bite', MENDED),
    ('bom middle', 'film: white', '\ufefffilm: white', MENDED),
    ('soft hyphen', 'film: white', 'film: wh\xadite', MENDED),
    ('line sep', 'film: white\n', 'film: white\u2028', MENDED),
    ('html nbsp', 'film: white', 'film:&nbsp;white', MENDED),
    ('missing value quote unclosed list', '[rope cream, harbour teal]', '["rope cream, harbour teal]', MENDED),
    ('json', '          rows: 2\n', '          "rows": 2,\n', MENDED),
    ('quoted key colon', '          rows: 2\n', '          "rows:" 2\n', MENDED),
    ('colon double', 'film: white', 'film:: white', MENDED),
    ('equals arrow', 'film: white', 'film: = white', MENDED),
    ('anchor reversed', '    at: bottom\n', '    at: left bottom\n', SOUND),
    ('panel dot', 'panel.width - 2 mm', 'door.width - 2 mm', WORDS),
    ('panel wrong case', '    panel: door', '    panel: Door', MENDED),
    ('ink wrong case', '          ink: rope cream', '          ink: Rope Cream', MENDED),
    ('ink underscore', '          ink: rope cream', '          ink: rope_cream', MENDED),
    ('shape plural', '      - field:', '      - fields:', WORDS),
    ('shape caps', '      - field:', '      - Field:', MENDED),
    ('shape colon missing', '      - field:', '      - field', MENDED),
    ('shape inline', '      - field:\n          ink: harbour teal', '      - field: ink: harbour teal', MENDED),
    ('shape inline2', '      - field:\n          ink: harbour teal', '      - field ink harbour teal', WORDS),
    ('list item trailing comma', 'inks: [rope cream, harbour teal]', 'inks:\n            - rope cream,\n            - harbour teal', MENDED),
    ('inline dash', 'inks: [rope cream, harbour teal]', 'inks: - rope cream', SOUND),
    ('inline dash2', 'inks: [rope cream, harbour teal]', 'inks: -rope cream, -harbour teal', MENDED),
    ('and', 'inks: [rope cream, harbour teal]', 'inks: rope cream and harbour teal', MENDED),
)  # fmt: skip

IN_SHORT: tuple[tuple[str, str, str, str], ...] = (
    ('short: unquoted comma', 'text: HARBOUR STORES', 'text: HARBOUR, STORES', SOUND),
    ('short: unquoted comma2', 'text: HARBOUR STORES', 'text: A, B, C', SOUND),
    ('short: hash text', 'text: HARBOUR STORES', 'text: STORES #7', SOUND),
    ('short: no blank', 'ink: rope cream}]}', 'ink:rope cream}]}', MENDED),
    ('short: no blank2', '{rows: 2,', '{rows:2,', MENDED),
    ('short: hash col', 'rope cream: {colour: "#e4cba0"}}', 'rope cream: {colour: #e4cba0}}', MENDED),
    ('short: missing } a', 'ink: rope cream}]}', 'ink: rope cream]}', MENDED),
    ('short: missing ] a', 'ink: rope cream}]}', 'ink: rope cream}}', MENDED),
    ('short: missing } end', 'ink: rope cream}]}', 'ink: rope cream}]', MENDED),
    ('short: missing panels', 'height: 11.60 mm \xb1 0.05}}', 'height: 11.60 mm \xb1 0.05}', MENDED),
    ('short: missing panels2', 'height: 11.60 mm \xb1 0.05}}', 'height: 11.60 mm \xb1 0.05', MENDED),
    ('short: missing mid', 'field: {ink: harbour teal},', 'field: {ink: harbour teal,', MENDED),
    ('short: missing mid2', 'at: top, inks: [rope cream, harbour teal]},', 'at: top, inks: [rope cream, harbour teal},', MENDED),
    ('short: missing comma end', 'field: {ink: harbour teal},', 'field: {ink: harbour teal}', MENDED),
    ('short: missing comma', 'hands: both, at', 'hands: both at', MENDED),
    ('short: comma dec', 'height: 1.6 mm', 'height: 1,6 mm', MENDED),
    ('short: comma dec2', '22.40 mm \xb1 0.05, height', '22,40 mm \xb1 0,05, height', MENDED),
    ('short: semicolon', 'hands: both, at', 'hands: both; at', MENDED),
    ('short: extra }', 'ink: rope cream}]}', 'ink: rope cream}]}}', MENDED),
    ('short: colon text', 'text: HARBOUR STORES', 'text: TEL: 147', SOUND),
    ('short: curly', '"#127077"', '\u201c#127077\u201d', MENDED),
    ('short: nbsp', 'hands: both', 'hands:\xa0both', READ),
    ('short: tab', '    field:', '\tfield:', MENDED),
    ('short: key no value', 'at: top,', 'at: ,', WORDS),
    ('short: equals', 'hands: both', 'hands = both', MENDED),
    ('short: panels no name', 'panels: {door: {width: 22.40 mm \xb1 0.05, height: 11.60 mm \xb1 0.05}}', 'panels: {width: 22.40 mm \xb1 0.05, height: 11.60 mm \xb1 0.05}', WORDS),
    ('short: fw comma', 'hands: both, at', 'hands: both\uff0c at', MENDED),
    ('short: fw colon', 'hands: both, at', 'hands\uff1aboth, at', MENDED),
    ('short: quote open', 'text: HARBOUR STORES', 'text: "HARBOUR STORES', MENDED),
    ('short: brackets in text', 'text: HARBOUR STORES', 'text: HARBOUR [1] STORES', SOUND),
)  # fmt: skip

CASES = [*((LONG, *case) for case in IN_LONG), *((SHORT, *case) for case in IN_SHORT)]
