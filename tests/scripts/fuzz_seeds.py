"""Writes what the fuzzers begin with, and their dictionaries, from the tests' own corpora.

Run from the repository's root: python3 tests/scripts/fuzz_seeds.py. For each target of tests/fuzz it makes the
folder tests/fuzz/seeds/TARGET and the file tests/fuzz/seeds/TARGET.dict; neither is kept by git, for all of it
stands elsewhere already. The first bytes of an input are choices, see tests/fuzz/src.
"""

import csv
import hashlib
import pathlib
import re
import shutil

TESTS = pathlib.Path("tests")
CORPUS = TESTS / "corpus"
SEEDS = TESTS / "fuzz" / "seeds"

ENCODINGS = ["utf-8", "utf-16le", "utf-16be", "windows-1252", "shift_jis", "gb18030", "koi8-r", "iso-2022-jp"]
DELIMITERS = {"comma": 0, "semicolon": 1, "tab": 2, "bar": 3, ",": 0, ";": 1, "\t": 2, "|": 3}


def seed(target, content):
    """One file, called by what is in it."""
    folder = SEEDS / target
    folder.mkdir(parents=True, exist_ok=True)
    (folder / hashlib.sha256(content).hexdigest()[:16]).write_bytes(content)


def dictionary(target, words):
    """Words as libFuzzer reads them: quoted, with bytes beyond ASCII escaped."""
    lines = []
    for word in dict.fromkeys(words):
        quoted = "".join(
            chr(byte) if 32 <= byte < 127 and byte not in (34, 92) else f"\\x{byte:02x}"
            for byte in word.encode()
        )
        lines.append(f'"{quoted}"\n')
    (SEEDS / f"{target}.dict").write_text("".join(lines))


def readings():
    entries = []
    for path in sorted((CORPUS / "readings").glob("*.txt")):
        entries += [line for line in path.read_text().splitlines() if not line.startswith("# ")]
    for entry in entries:
        for flags in (0, 2):
            seed("readings", bytes([flags]) + entry.encode())
    for at in range(40):
        seed("readings", bytes([1 + 2 * (at % 2)]) + bytes((at * 7 + step * 13) % 96 for step in range(6)))
    dictionary("readings", [word for entry in entries for word in entry.split() if len(word) < 12])


def units():
    with open(TESTS / "data" / "pint.csv", newline="") as file:
        symbols = [row[0] for row in csv.reader(file) if row and not row[0].startswith("#")]
    for one, other in zip(symbols[::5], symbols[2::5]):
        seed("units", f"{one}\0{other}".encode())
    for text in ["m/s/s", "kg m^2/s^2", "N-m", "metres per second squared", "1/s", "J/(kg K)", "kWh", "W/m^2/K"]:
        seed("units", f"{text}\0{text}^-1/2".encode())
    words = ["^", "/", "(", ")", "-1", "1/2", "per", "squared", "cubic", "²", "⁻¹", "·", "1/", " "]
    dictionary("units", symbols[::3] + words)


def toml_files():
    folders = ["assignments", TESTS / "published", CORPUS / "assignments", CORPUS / "errors", CORPUS / "lint",
               CORPUS / "bad-input" / "assignments"]
    for folder in folders:
        yield from sorted(pathlib.Path(folder).rglob("*.toml"))


GAPS = [
    ["9.8 m/s^2", "2.0 kg", "3.0 kg", "0.5 kg", "1.0 m", "1.5 m", "2.0 m", "q*p", "N", "0", "m/s", "q < [9 kg]",
     "x > 0", "x = q*p", "y^2 = 2*p*r", "1%", "q", "x*r", "J", "q > [2.4 kg]", "q <= [2.4 kg]"],
    ["10 m/s^2", "1.0 s", "1.4 s", "0.1 s", "1.0 s", "2.0 s", "3.0 s", "p*q", "m/s", "0", "m", "q < [5 s]",
     "y > 0", "x = d + p*r", "y = x*q - p*q^2/2", "2%", "p*q", "y/x", "s", "x > y/[1 s]", "x <= y/[1 s]"],
    ["0.5", "20 deg", "40 deg", "5 deg", "2.0 m", "2.5 m", "4.0 m", "tan(q)", "deg", "0", "m", "q < [45 deg]",
     "y > 0", "sin(x) = p*sin(q)", "y = r*tan(x)", "1%", "q", "y/r", "1", "x > [12 deg]", "x <= [12 deg]"],
]


def assignments():
    for path in toml_files():
        seed("assignment", path.read_bytes())
    for gaps in GAPS:
        seed("assignment", ("~" + "\n".join(gaps)).encode())
    keys = "".join(path.read_text() for path in sorted(pathlib.Path("src/assignment/keys").glob("*.rs")))
    words = re.findall(r'(?:required|optional)\(\s*"(\w+)"', keys)
    words += [word for group in re.findall(r"Word\(&\[([^\]]*)\]", keys) for word in re.findall(r'"(\w+)"', group)]
    words += ["[given]\n", "[derived]\n", "[find]\n", "[require]\n", "[mix]\n", "[possible]\n", "[equation]\n",
              "[scheme]\n", "[[part]]\n", "[[part.slip]]\n", "[[part.accept]]\n", ' = "', '"\n', " = { ", '"""',
              "1e308", "1e-308", "0.1%", "abs(", "sqrt(", "sin(", "min(", "atan2(", " and ", " or ", "^-1", "[1 kg]",
              "79228162514264337593543950335", "0.0000000000000000000000000001", "9223372036854775807"]
    dictionary("assignment", words)


def formulas():
    texts = []
    for path in toml_files():
        try:
            text = path.read_text()
        except UnicodeDecodeError:
            continue
        texts += re.findall(r'= *"([^"\n]*[-+*/=<>][^"\n]*)"', text)
    # One letter a name there.
    names = {}
    for text in texts:
        def letter(found):
            word = found.group()
            if word in CALLS or len(word) == 1:
                return word
            return names.setdefault(word, "abcdefghijklmnopqrstuvwxyz"[len(names) % 26])
        short = re.sub(r"(?<![\[\d. ])[A-Za-z]\w*(?![^\[]*\])", letter, text)
        seed("formulas", bytes([0, 0, 1, 3, 4]) + short.encode())
    systems = ["a*x + b*y = c\0x - y = a", "x^2 + y^2 = c^2\0x*y = a", "x = a*y\0y = b*z\0z = c + x", "sin(x) = a\0y = tan(x)"]
    for at, system in enumerate(systems):
        seed("formulas", bytes([2 * at, 3, 1, 7, 4]) + system.encode())
    for at in range(60):
        seed("formulas", bytes([1 + 2 * (at % 5)]) + bytes((at * 31 + step * step * 7 + step) % 256 for step in range(48)))
    dictionary("formulas", CALLS + ["<=", ">=", "!=", " and ", " or ", "[1 kg]", "[30 deg]", "1e300", "^", "=", "((", "))", "\0"])


CALLS = ["sin", "cos", "tan", "asin", "acos", "atan", "atan2", "sqrt", "abs", "min", "max", "exp", "ln", "log10", "pi",
         "and", "or"]


def tables():
    rosters = [CORPUS / "tables" / "roster", CORPUS / "bad-input" / "rosters", pathlib.Path("rosters")]
    answers = [CORPUS / "tables" / "answers", CORPUS / "bad-input" / "answers"]
    for which, folders in ((1, rosters), (0, answers)):
        for folder in folders:
            for path in sorted(folder.glob("*.csv")):
                content = path.read_bytes()
                # Nothing said; the bytes as they are.
                seed("csv_in", bytes([which, 0, 0, 1]) + content)
                # The same text in one of the other encodings.
                seed("csv_in", bytes([which, 1, 1 + len(content) % 7, 0]) + content[:4000])
    for path in sorted((TESTS / "published" / "csv-spectrum").glob("*.csv")):
        seed("csv_in", bytes([1, 0, 0, 1]) + path.read_bytes())
    words = ["id,name", "student", "section", "decimal", "print", "status", "absent", "handed_in", "2026-11-25", "part",
             "entry", "a.working", "given:mA", "sep=;", "\ufeff", "\r\n", "\r", '""', '","', "004071", "S7", "total"]
    dictionary("csv_in", words)


def gradebooks():
    for path in sorted((CORPUS / "gradebooks").glob("*.csv")):
        said = path.with_suffix(".said")
        lines = dict(line.split(" ", 1) for line in said.read_text().splitlines()) if said.exists() else {}
        flags, encoding, delimiter, heading = 0, b"\0", b"", b""
        if "encoding" in lines and lines["encoding"].lower() in ENCODINGS:
            flags, encoding = flags | 1, bytes([ENCODINGS.index(lines["encoding"].lower())])
        if lines.get("delimiter") in DELIMITERS:
            flags, delimiter = flags | 2, bytes([DELIMITERS[lines["delimiter"]]])
        if "heading_row" in lines:
            flags, heading = flags | 4, bytes([int(lines["heading_row"]) % 256])
        comma = 1 if lines.get("decimal") == "comma" else 0
        head = bytes([comma, 0, 1, 2, 4, 0, flags]) + encoding + delimiter + heading + b"\1"
        seed("gradebook_fill", head + path.read_bytes())
    words = ["Student ID", "ropes-1", "mark", "0101", "0102", "S7", "00310", "sep=;", "\ufeff", "\r\n", "\r", '"', '""', ";", "\t", "|"]
    dictionary("gradebook_fill", words)


def packages():
    for version in ("v1p1", "v1p2"):
        folder = TESTS / "oneroster" / version
        whole = b"".join(f"@{path.name}\n".encode() + path.read_bytes() for path in sorted(folder.iterdir()))
        seed("oneroster", whole)
        seed("oneroster", whole + b"\n!\n" + bytes([0, 20, 255, 0, 90, 1]))
        wanted = ["manifest.csv", "classes.csv", "enrollments.csv", "users.csv", "roles.csv"]
        small = b"".join(f"@{name}\n".encode() + b"\n".join((folder / name).read_bytes().splitlines()[:4]) + b"\n"
                         for name in wanted if (folder / name).exists())
        seed("oneroster", small)
    words = ["@manifest.csv\n", "@classes.csv\n", "@enrollments.csv\n", "@users.csv\n", "@roles.csv\n", "tobedeleted", "active",
             "student", "teacher", "2026-10-20", "bulk", "delta", "absent", "\n!\n", "sourcedId", "userSourcedId", "beginDate"]
    dictionary("oneroster", words)


def records():
    for at in range(30):
        seed("record", bytes([0, 0]) + bytes((at * 97 + step * step * 31) % 256 for step in range(4 * (1 + at % 5))))
        seed("record", bytes([2]) + bytes((at * 53 + step * step * 17 + step * 3) % 256 for step in range(80)))
    for at, text in enumerate(['{"deed":"entry","part":"a","keying":"first","text":"1"}',
                               '{"deed":"adjust","part":"a","points":"79228162514264337593543950335","note":""}',
                               '{"deed":"take_back","act":1}', "[[]]", "null", "2026-13-01", '[{"name":"a","value":"1 kg"}]']):
        for column in range(18):
            seed("record", bytes([1, column, 1 + at % 3]) + text.encode())
    words = ['{"deed":"', "entry", "adjust", "accept", "take_back", "points", '"note":""', '"part":"a"', "null", "[[", "]]", "2026-11-25",
             "1e400", "-1", "79228162514264337593543950335"]
    dictionary("record", words)


def main():
    shutil.rmtree(SEEDS, ignore_errors=True)
    SEEDS.mkdir(parents=True)
    for make in (readings, units, assignments, formulas, tables, gradebooks, packages, records):
        make()
    for folder in sorted(path for path in SEEDS.iterdir() if path.is_dir()):
        files = list(folder.iterdir())
        print(f"{folder.name}: {len(files)} files, {sum(path.stat().st_size for path in files)} bytes")


main()
