"""Files spoilt at random, the same for the same seed: bytes, words, values, and what a stranger would slip in."""

from __future__ import annotations

import hashlib
import json
import random
import re
import sqlite3
import tempfile
from collections.abc import Callable
from pathlib import Path
from typing import Any

SLIPPED = (
    *("\x1b]0;owned\x07", "\x1b[2J", "\x9b31m", "\u202e", "\u2066", "\x00", "\x7f", "\ufeff", "\u2028", "\r", "\n", "\t"),
    *('"\\e]0;x\\a"', '"\\u202e"', '"\\0"', '"\\ud800"', "\\u001b", "\\ud83d", "{", "}", "[", "]", ": ", "- ", "#", "&a ", "*a", "!!x "),
    *("nan", "inf", "-1", "0", "1e999", "1e-999", "9" * 400, "1/0", "null", "true", "~", "''", '""', "%", "٣", "½", "mm", "±"),
    *("../../etc/passwd", "/dev/zero", "x" * 3000, "(" * 300, "[" * 300, "{a: " * 200, "<<: *a", "? ", "| \n", "> \n"),
)  # fmt: skip
VALUES: tuple[Any, ...] = (
    *(None, True, False, 0, -1, 1, 10**30, -(10**400), 1e308, 5e-324, float("nan"), float("inf"), "", "x", "x" * 5000),
    *(
        "\x1b]0;owned\x07",
        "\u202ex",
        "\ud800",
        [],
        {},
        [[]],
        [0],
        {"x": 1},
        [None] * 50,
        [[0, 0], [0, 0], [0, 0]],
        "1e999",
    ),
)
NUMBER = re.compile(rb"-?\d+(?:\.\d+)?")
WORD = re.compile(rb"[A-Za-z][A-Za-z_ ]*")


def bytes_spoilt(data: bytes, chance: random.Random) -> bytes:
    """One to four changes of any bytes."""
    for _ in range(chance.randint(1, 4)):
        at = chance.randrange(len(data) + 1)
        to = min(len(data), at + chance.choice((1, 1, 2, 8, 64, 512)))
        match chance.randrange(6):
            case 0:
                data = data[:at] + bytes(chance.randrange(256) for _ in range(to - at)) + data[to:]
            case 1:
                data = data[:at] + data[to:]
            case 2:
                data = data[:at] + data[at:to] * chance.choice((2, 3, 50)) + data[to:]
            case 3:
                data = data[:at] + chance.choice(SLIPPED).encode("utf-8") + data[at:]
            case 4:
                data = data[:at]
            case _:
                flipped = bytes(b ^ (1 << chance.randrange(8)) for b in data[at : at + 1])
                data = data[:at] + flipped + data[at + 1 :]
    return data


def words_spoilt(data: bytes, chance: random.Random) -> bytes:
    """One to three numbers, words or lines replaced, lost, said twice or moved."""
    for _ in range(chance.randint(1, 3)):
        rows = data.split(b"\n")
        here = chance.randrange(len(rows))
        found = [*NUMBER.finditer(rows[here]), *WORD.finditer(rows[here])]
        match chance.randrange(5):
            case 0:
                del rows[here]
            case 1:
                rows.insert(chance.randrange(len(rows) + 1), rows[here])
            case 2:
                rows[here] = b" " * chance.randrange(12) + rows[here].strip()
            case _ if found:
                spot = chance.choice(found)
                new = chance.choice(
                    (chance.choice(SLIPPED).encode("utf-8"), chance.choice(rows).strip(), b"7 mm", b"white")
                )
                rows[here] = rows[here][: spot.start()] + new + rows[here][spot.end() :]
        data = b"\n".join(rows) or b"x"
    return data


def tree_spoilt(data: bytes, chance: random.Random) -> bytes:
    """One to three values of a JSON file replaced, lost or said twice; a checksum that was right is right again."""
    tree = json.loads(data)
    for _ in range(chance.randint(1, 3)):
        holders = _holders(tree)
        holder = chance.choice(holders)
        key = chance.choice([*holder] if isinstance(holder, dict) else [*range(len(holder))])
        match chance.randrange(4):
            case 0:
                del holder[key]
            case 1 if isinstance(holder, list):
                holder.insert(key, holder[chance.randrange(len(holder))])
            case 1:
                holder[chance.choice(("", "x", "\x1b[2J", "form"))] = holder[key]
            case _:
                holder[key] = chance.choice(VALUES)
        if not _holders(tree):
            break
    if isinstance(tree, dict) and "checksum" in tree:
        rest = {key: value for key, value in tree.items() if key not in ("checksum", "form")}
        text = json.dumps(rest, ensure_ascii=False, sort_keys=True, separators=(",", ":"))
        tree["checksum"] = hashlib.sha256(text.encode("utf-8", "replace")).hexdigest()
    if isinstance(tree, dict) and "content" in tree:
        rest = {key: value for key, value in tree.items() if key != "content"}
        text = json.dumps(rest, ensure_ascii=True, sort_keys=True, separators=(",", ":"))
        tree["content"] = hashlib.sha256(text.encode("ascii")).hexdigest()
    return json.dumps(tree).encode("ascii")


def _holders(tree: Any) -> list[Any]:
    found, open_ones = [], [tree]
    while open_ones:
        one = open_ones.pop()
        if isinstance(one, dict | list) and one:
            found.append(one)
            open_ones += one.values() if isinstance(one, dict) else one
    return found


def base_spoilt(data: bytes, chance: random.Random) -> bytes:
    """Values of an SQLite database replaced, or its bytes."""
    if chance.random() < 0.5:
        return bytes_spoilt(data, chance)
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "base"
        path.write_bytes(data)
        base = sqlite3.connect(path)
        tables = [name for (name,) in base.execute("SELECT name FROM sqlite_master WHERE type = 'table'")]
        for _ in range(chance.randint(1, 3)):
            table = chance.choice(tables)
            columns = [row[1] for row in base.execute(f"PRAGMA table_info('{table}')")] or ["rowid"]
            value = chance.choice([v for v in VALUES if not isinstance(v, list | dict)])
            value = 2**63 - 1 if isinstance(value, int) and abs(value) > 2**62 else value
            value = (
                value.encode("utf-8", "surrogatepass") if isinstance(value, str) and chance.random() < 0.3 else value
            )
            try:
                base.execute(f"UPDATE '{table}' SET \"{chance.choice(columns)}\" = ?", (value,))
            except (sqlite3.Error, UnicodeEncodeError):
                base.execute("PRAGMA user_version = %d" % chance.choice((0, 1, 2, 3, 99, -1)))  # noqa: UP031
        base.commit()
        base.close()
        return path.read_bytes()


Spoil = Callable[[bytes, random.Random], bytes]
TEXTS: tuple[Spoil, ...] = (bytes_spoilt, words_spoilt, words_spoilt, words_spoilt)
TREES: tuple[Spoil, ...] = (bytes_spoilt, words_spoilt, tree_spoilt, tree_spoilt, tree_spoilt)
