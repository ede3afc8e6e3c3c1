"""What commands say, as it is said on the page: where a fix names a command or an option that has a place here, the
place is named instead. What has none keeps its command."""

from __future__ import annotations

import re
from collections.abc import Sequence

_PLACES: Sequence[tuple[str, str]] = (
    # Of Film.
    (r"`--film drawer`", r"film from the drawer, chosen on Sheet"),
    (r" with `decalgen film cut-off`", r' under "Cut off by hand" on Film'),
    (r"give one of --rectangle.*", r'choose under "What was cut off"'),
    (r"`decalgen film back [^`]*`", r'"Undo the last" on Film'),
    (r"`decalgen film carrier [^`]*`", r'"Make the page that carries it" on Film'),
    (r"with `decalgen film add [^`]*`", r"on Film"),
    (r": `decalgen film add [^`]*`", r" on Film"),
    (r"with `decalgen film (?:list|show)[^`]*`", r"on Film"),
    (r"`decalgen film (?:list|show|export)[^`]*`", r"Film"),
    (r" with `--count`", r" at How many"),
    (r" with `decalgen film import [^`]*`", r' under "Copies of the drawer" on Film'),
    (r" with `--name`", r" at Name"),
    (r"give `--x` or `--y`, such as --x (.*)", r"type at least one, such as \1"),
    # Of Printer.
    (r"`decalgen calibrate print`, then `calibrate read --keep`", r"on Printer"),
    (r"\(`decalgen calibrate print`\)", r"(see Printer)"),
    (r"it first: `decalgen calibrate print`", r"it first, on Printer"),
    (r"`decalgen calibrate print` writes the target", r"Printer makes the target"),
    (r"`decalgen calibrate (?:print|read|bars|history)[^`]*`", r"Printer"),
    (r": decalgen calibrate bars .*", r"; type that on Printer, under Has it drifted?"),
    (r'print with it: (--printer .*) --film ".*"', r'print with it: choose it at "This sheet is printed with"'),
    (r"add it: --date \S+ \((.*)\)", r"give \1"),
    (r"(year, month and day(?: of the print)?): --date ", r"\1, as in "),
    (r"add --keep with a name.*", r'type what you call the printer at "Its name"'),
    (r"such as --keep ", r"such as "),
    (r": add --with \".*\"", r': choose that at "Measured with"'),
    (r"say which: --printer .*", r"choose one of them on Printer"),
    (r"say which, by --film or in words", r"say which"),
    (r"add --x ____ and --y ____: ", r"type at least one: "),
    (r"\(--asked-[^,]*, or --record\)", r"(at Should be, or by the record of the print)"),
    (r"^--asked-x: ", r"Should be, across: "),
    (r"^--asked-y: ", r"Should be, up: "),
    (r": --sheet$", r", and say so at Sheet"),
    (r"paper type, which --to asks for", r"paper type, which film is printed with"),
    # Of Sheet.
    (r" \(`--nest-again`\)", r' ("Nest again" on Sheet)'),
    (r"`?--nest-again`?", r'"Nest again" on Sheet'),
    (r"add `--film` with", r"add, under Film on Sheet,"),
    (r" with `--film`", r" under Film on Sheet"),
    (r"`--film`", r"Film on Sheet"),
    (r"give `--gap`", r"set gap, under How it is nested on Sheet, to"),
    (r"`--gap`", r"gap under How it is nested on Sheet"),
    (r"and no sheet of it is named", r"and no sheet of it is chosen"),
    (
        r"name a sheet of (\S+) film of the drawer as well",
        r"press a sheet of \1 film as well, or choose Add film: \1 A5",
    ),
    (r"name a sheet of (\S+) film instead", r"take it off, and press a sheet of \1 film instead"),
    (
        r"name another sheet of the drawer, or the other printer",
        r"press another sheet of the drawer, or choose the other printer, under How it is nested",
    ),
    (r"name another sheet of the drawer", r"press another sheet of the drawer"),
    (r"name the sheets that the proof was made for", r"press the sheets that the proof was made for"),
    (r", or name another film", r", or choose another film"),
    (r"say which, with --printer", r"say which at printer, under How it is nested on Sheet"),
    (r"; a file goes after --printer", r", or the file at printer, under How it is nested on Sheet"),
    (r"leave out \"Nest again\" on Sheet, or ", r""),
    # Of Measure.
    (r"type the readings in: decalgen measure \S+", r"type the readings in on Measure"),
    (r"`decalgen measure [^`]*`", r"Measure"),
    # Of Proof.
    (r"`decalgen proof passed[^`]*` with --sheet for each", r"type the readings of each on Proof"),
    (r"`decalgen proof passed[^`]*` with the new readings", r"type the new readings on Proof"),
    (r"`decalgen proof passed[^`]*`", r"type what they measure on Proof"),
    (r"name another with --sheet", r"type another in Sheet"),
    (r" \(--with '?([^')]*)'?\)", r" (choose \1 at Measured with)"),
    (r"use --with '(.*)'", r"choose \1 at Measured with"),
    (r"(type|add) what it measures, in mm: --[xy] ____", r"type what it measures, in mm"),
    (r"leave out --([xy]):", r"leave its reading empty:"),
    (r"choose a folder you may write to with -o", r"copy the job file into a folder that you may write to"),
    (r"or name the proof that the paper is of", r"or open the job that the paper is of"),
    (r", or name its file", r""),
    (r"read it off .* --code.*", r"read it off the sheet that you measured: five letters, printed large"),
    (r"leave out --x and --y, or --scan", r"leave the readings empty, or take the scan away"),
    (r"--sheet (\d+)", r"type \1 in Sheet"),
    # Of Originals.
    (r"or give the part that holds it with --part", r"or frame the part that holds it"),
    (
        r"give the part of the picture that holds one pattern alone with --part, or say which it is with --as",
        r"frame the part of the picture that holds one pattern alone, or say which it is at The pattern",
    ),
    (r"give its left, upper, right and lower side in pixels, as in --part [\d,]+", r"drag the frame over the picture"),
    (
        r"lay a plain card beside it and give --beside card, or type the scanner's setting, as in --dpi 300",
        r"lay a plain card beside it, or go by the dpi, and type the scanner's setting, such as 300",
    ),
    (r", as in --dpi 300, or lay a card down and give --beside card", r", such as 300, or lay a card down"),
    (r"as in --dpi 300, or --dpi 300x600", r"as in 300, or 300x600"),
    (r"give its corners with --corners", r"set its corners by hand"),
    (r"'card', or its width and height as measured, as in --beside '(.*)'", r"its width and height, as in \1"),
    (r"leave --value out, and give what tells its size, such as --beside", r"leave it as it is traced"),
    (r"^--(?:beside|width|height): ", r""),
    (r"with its unit, as in --(?:width|height) '(.*)'", r"such as \1"),
    (r"corners in pixels once round, with `arc`.* --points '.*'", r"set at least three, once round the panel"),
    (r"or give the corners with --points", r"or press its corners on the picture"),
    (r"or give all corners with --points", r"or set all corners"),
    (
        r"lay a plain card beside the template and give --beside card, or type --width and --height",
        r"lay a plain card beside the template, or type its width and height",
    ),
    (r"move the corner with --points", r"move the corner"),
    (r"add `line` after corner (\d+) in --points", r"choose line for the side after corner \1"),
    (r"give them with --points", r"press its corners on the picture, once round"),
    (r"give x and y in pixels from the picture's upper left corner", r"drag it back onto the picture"),
    (
        r"add --instead to put this one in its place, or give another name with --panel",
        r'tick "in place of it", or type another name',
    ),
    (r"as in --value '[^=]*= ([^']*)'", r"as in \1"),
    (r'see --as (?:"([^"]+)"|(\S+))', r"choose \1\2 at The pattern"),
    (r"give its place in pixels, from the left and from the top", r"press it on the picture"),
    # Of the printers that a proof or a sheet is sent to.
    (r"`decalgen printers` lists those (?:that answer|found)", r'"Look for printers" finds those that answer'),
    (r"name one of its own with --(?:tray|paper-type)", r"choose one of its own from the list"),
    (r"leave out --tray", r"choose the first in the list at Tray"),
    (r"leave out --paper-type", r"choose the first in the list at Paper type"),
    (
        r"to print it on another sheet of film: `decalgen sheet --again [^`]*`",
        r'tick "Print it once more, on another sheet of film"',
    ),
    (r"run this again: it sends", r"press Print again: it sends"),
    (r"run again, this prints", r"pressed again, this prints"),
    (r"say which, after --to: (.*)", r"choose one of them at Printer: \1"),
    (
        r"name one of: (.*); or its address, such as (.*); or dialog, to print by hand",
        r'press "Look again", or type its address, such as \2',
    ),
    (r"which --to cannot ask for", r"which cannot be asked for from here"),
    (
        r"leave out --to, add --plates, and print both files",
        r"make both files with `decalgen sheet --plates`, and print them",
    ),
    (r"with `decalgen proof`", r"on Proof"),
    (r"`decalgen proof`", r"Proof"),
)
"""By patterns, each tried in turn: the words of a command, and those of the page."""


def on_page(words: str) -> str:
    """What a command says, as the page says it."""
    for command, place in _PLACES:
        words = re.sub(command, place, words)
    return words
