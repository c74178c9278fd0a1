"""Opens tests/data/spreadsheet/marks.csv in LibreOffice and writes down what it made of every cell.

Run from the repository's root where `soffice` is installed (Debian: libreoffice-calc-nogui); 7.4.7.2 wrote the
file that is committed. The column of ids is imported as text, all others as they come; then what
LibreOffice holds goes into cells.csv: row, column, type, value as LibreOffice has it, formula. The last lines
are what it makes of the same ids where nobody says that they are text.
"""

import csv
import pathlib
import subprocess
import sys
import tempfile
import xml.etree.ElementTree as tree

FOLDER = pathlib.Path("tests/data/spreadsheet")
TABLE = "{urn:oasis:names:tc:opendocument:xmlns:table:1.0}"
OFFICE = "{urn:oasis:names:tc:opendocument:xmlns:office:1.0}"
TEXT = "{urn:oasis:names:tc:opendocument:xmlns:text:1.0}"


def held(filter_options):
    with tempfile.TemporaryDirectory() as folder:
        command = ["soffice", "--headless", f"--infilter=Text - txt - csv (StarCalc):{filter_options}"]
        command += ["--convert-to", "fods", "--outdir", folder, str(FOLDER / "marks.csv")]
        subprocess.run(command, check=True, capture_output=True)
        root = tree.parse(pathlib.Path(folder) / "marks.fods").getroot()
    for row, cells in enumerate(root.iter(TABLE + "table-row"), 1):
        column = 0
        for cell in cells:
            count = int(cell.get(TABLE + "number-columns-repeated", "1"))
            kind = cell.get(OFFICE + "value-type")
            for _ in range(count if kind else 0):
                column += 1
                text = "\n".join("".join(part.itertext()) for part in cell.iter(TEXT + "p"))
                value = text if kind == "string" else cell.get(OFFICE + "value", text)
                yield [row, column, kind, value, cell.get(TABLE + "formula", "")]
            column += 0 if kind else count


def main():
    version = subprocess.run(["soffice", "--version"], check=True, capture_output=True, text=True)
    print(version.stdout.strip(), file=sys.stderr)
    with open(FOLDER / "cells.csv", "w", newline="", encoding="utf-8") as file:
        out = csv.writer(file, lineterminator="\n")
        out.writerow(["import", "row", "column", "type", "value", "formula"])
        # comma, quotes, UTF-8, from line 1; column 1 as text (2)
        for cell in held("44,34,76,1,1/2"):
            out.writerow(["ids as text"] + cell)
        for cell in held("44,34,76,1"):
            if cell[1] == 1 and cell[0] > 1:
                out.writerow(["as it comes"] + cell)


main()
