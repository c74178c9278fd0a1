"""Writes tests/corpus/gradebooks: awkward files as schools have them, each with what must come out.

Run from the repository's root. NAME.csv is the gradebook, NAME.filled the same file with the marks in it, byte
for byte (none where it must be refused or nothing changes), NAME.said what is said on the command line. In
the texts below {{ID}} is a student's empty cell, {{ID|old}} one that holds something, and {{ID|old|new}} one
whose new text is not simply the mark. All of them are our own; the people are invented. Cases that the
Pollock benchmark for CSV readers, the draft after RFC 4180 and the W3C's CSV on the Web describe are among
them, built from the descriptions.
"""

import pathlib
import re

MARKS = {"0101": "13", "0102": "12.5", "0103": "0", "0205": "7.25", "00310": "11"}
FOLDER = pathlib.Path("tests/corpus/gradebooks")
HEAD = "Student ID,Name,quiz 2,ropes-1\n"
ADA = "0101,Ada Brandt,3,{{0101}}\n"
BO = "0102,Bo Ek,4,{{0102}}\n"
ZOE = "0103,Zoë D’Ambrisi,,{{0103}}\n"
ANA = "0204,Ana Kovačić,1,\n"
OU = "0205,欧阳晓岚,2,{{0205}}\n"
LI = "00310,Li Wei,5,{{00310}}\n"
ALL = HEAD + ADA + BO + ZOE + ANA + OU + LI
ASCII = HEAD + ADA + BO + LI
SOME = ADA + BO

CASES = {}


def case(name, text, said="", encoding="utf-8", mark=b"", refused=False, raw=None):
    assert name not in CASES, name
    CASES[name] = (text, said, encoding, mark, refused, raw)


def crlf(text):
    return text.replace("\n", "\r\n")


def separated(text, by):
    return text.replace(",", by)


def quoted(text):
    lines = [",".join(f'"{cell}"' for cell in line.split(",")) for line in text.splitlines()]
    return "\n".join(lines) + "\n"


# line breaks
case("breaks-lf", ALL)
case("breaks-crlf", crlf(ALL))
case("breaks-cr", ALL.replace("\n", "\r"))
case("breaks-mixed", HEAD + crlf(ADA) + BO.replace("\n", "\r") + ZOE + "\r\n\n" + OU + LI)
case("breaks-cr-cr-lf", ASCII.replace("\n", "\r\r\n"))
case("breaks-none-at-the-end", ALL.rstrip("\n"))
case("breaks-after-the-end", crlf(ALL) + "\r\n\r\n\n")
case("breaks-control-z-at-the-end", ASCII + "\x1a")

# encodings
case("encoding-utf8-mark", ALL, mark=b"\xef\xbb\xbf")
case("encoding-utf16le", crlf(ALL), encoding="utf-16-le", mark=b"\xff\xfe")
case("encoding-utf16be", ALL, encoding="utf-16-be", mark=b"\xfe\xff")
case("encoding-utf16le-tabs", crlf(separated(ALL, "\t")), encoding="utf-16-le", mark=b"\xff\xfe")
case("encoding-utf16le-quotes", quoted(ALL), encoding="utf-16-le", mark=b"\xff\xfe")
case("encoding-utf16le-unmarked", ALL, encoding="utf-16-le", refused=True)
case("encoding-utf16le-unmarked-told", ALL, "encoding utf-16le", encoding="utf-16-le")
case("encoding-utf16le-half-a-character", "", raw=b"\xff\xfe" + ASCII.replace("{{", "").replace("}}", "").encode("utf-16-le") + b"\x0d", refused=True)
case("encoding-windows-1252", (HEAD + ADA + ZOE + BO).replace("’", "'"), encoding="cp1252", refused=True)
case("encoding-windows-1252-told", HEAD + ADA + ZOE + BO, "encoding windows-1252", encoding="cp1252")
case("encoding-windows-1250-told", HEAD + ADA + ANA + BO, "encoding windows-1250", encoding="cp1250")
case("encoding-shift-jis-told", HEAD + ADA + "9,表 ソ,|,\n" + BO, "encoding shift_jis", encoding="shift_jis")
case("encoding-gb18030-told", HEAD + ADA + OU + BO, "encoding gb18030", encoding="gb18030")
case("encoding-latin-2-told", HEAD + ADA + ANA + BO, "encoding iso-8859-2", encoding="iso-8859-2")
case("encoding-contradicts-the-mark", ALL, "encoding windows-1252", mark=b"\xef\xbb\xbf", refused=True)
case("encoding-lacks-a-character", HEAD + ADA + "0204,Ana,1,\n", "encoding windows-1252\nabsent č", encoding="cp1252", refused=True)
case("encoding-nul", "", raw=ASCII.replace("{{", "").replace("}}", "").encode() + b"0\0\n", refused=True)
case("encoding-workbook", "", raw=b"PK\x03\x04\x14\x00\x06\x00\x08\x00\x00\x00!\x00\xa1\xb2", refused=True)
case("encoding-does-not-come-back", "", "encoding shift_jis", raw=b"Student ID,Name,ropes-1\n0101,\xfa\x54,\n", refused=True)

# separators
case("separator-semicolon", separated(ALL, ";"))
case("separator-tab", separated(ALL, "\t"))
case("separator-bar", separated(ALL, "|"))
case("separator-caret-told", separated(ALL, "^"), "delimiter ^")
case("separator-semicolons-and-commas", separated(HEAD, ";") + "0101;Brandt, Ada;3;{{0101}}\n0102;Ek, Bo, the second;4;{{0102}}\n")
case("separator-line-semicolon", "sep=;\n" + separated(ALL, ";"))
case("separator-line-comma", "sep=,\r\n" + crlf(ALL))
case("separator-line-quoted", '"sep=;"\r\n' + crlf(separated(ASCII, ";")))
case("separator-line-tab", "SEP=\t\n" + separated(ALL, "\t"), mark=b"\xef\xbb\xbf")
case("separator-line-utf16", crlf("sep=;\n" + separated(ALL, ";")), encoding="utf-16-le", mark=b"\xff\xfe")

# headings
case("heading-below-title", "Physics 11, autumn term\n\n" + ALL)
case("heading-below-titles-with-commas", "Physics 11,,,\nprinted on,25 November,,\n,,,\n" + ALL)
case("heading-below-title-in-quotes", '"Physics 11\nautumn ""2026"""\n' + ALL)
case("heading-title-like-a-heading", "Student ID,the school's number\n" + ALL)
case("heading-legend-above", "Student ID,Name,ropes-1,quiz 2\n" + ALL, "heading_row 2")
case("heading-row-told-and-wrong", ALL, "heading_row 3", refused=True)
case("heading-over-two-rows", "Student ID,Name,autumn,\n,,quiz 2,ropes-1\n" + SOME)
case("heading-under-groups", ",,autumn,autumn\n" + ALL)
case("heading-with-points-below", HEAD + ",out of,10,13\n" + SOME + LI)
case("heading-in-capitals", ALL.replace("ropes-1", "ROPES-1"))
case("heading-with-blanks", ALL.replace("ropes-1", " ropes-1 "))
case("heading-with-a-break", ASCII.replace("ropes-1", '"ropes-1\n(13 points)"'), "column #4")
case("heading-is-the-title", ALL.replace("ropes-1", "Moon and star above the stage"))
case("heading-told", ALL.replace("ropes-1", "Hausaufgabe 3"), "column Hausaufgabe 3")
case("heading-missing", ALL.replace("ropes-1", "ropes 1"), refused=True)
case("heading-doubled", "Student ID,ropes-1,Name,ropes-1\n0101,,Ada,\n", refused=True)
case("heading-doubled-told", "Student ID,ropes-1,Name,ropes-1\n0101,,Ada,{{0101}}\n", "column #4")
case("heading-without-ids", "Pupil's key,Name,ropes-1\n0101,Ada,\n", refused=True)
case("heading-ids-told", "Pupil's key,Name,ropes-1\n0101,Ada,{{0101}}\n", "id_column Pupil's key")
case("heading-ids-by-number", "Pupil's key,Name,ropes-1\n0101,Ada,{{0101}}\n", "id_column #1")
case("heading-two-columns-of-ids", "No,Student ID,Name,ropes-1\n1,0101,Ada,{{0101}}\n2,0102,Bo,{{0102}}\n")
case("heading-two-columns-of-ids-alike", "ID,Student ID,ropes-1\n0101,0101,\n0102,0102,\n", refused=True)
case("heading-marks-over-ids", ALL, "column Student ID", refused=True)
case("heading-alone", HEAD)
case("heading-of-one-column", "ropes-1\n0101\n", refused=True)
case("heading-repeated", ALL + "\nset B,,,\n" + HEAD.replace("\n", "\n") + "9999,Somebody Else,1,5\n")
case("heading-repeated-with-other-columns", HEAD + ADA.replace("{{0101}}", "") + "Student ID,Name,ropes-1,quiz 2\n0102,Bo,,\n", refused=True)
case("heading-columns-in-odd-order", "ropes-1,quiz 2,Name,Student ID\n{{0101}},3,Ada,0101\n{{0102}},,Bo,0102\n")
case("heading-none-at-all", "\n\n\r\n", refused=True)
case("empty", "", refused=True)
case("empty-but-for-a-mark", "", mark=b"\xef\xbb\xbf", refused=True)

# rows
case("rows-trailing-commas", ALL + ",,,\n,,,\n,,,\n")
case("rows-all-a-comma-longer", HEAD + (SOME + LI).replace("\n", ",\n"))
case("rows-one-a-comma-longer", HEAD + ADA.replace("{{0101}}", "") + "0102,Bo Ek,4,,\n", refused=True)
case("rows-shorter-than-a-heading-with-commas", HEAD.replace("\n", ",,,\n") + SOME)
case("rows-short", HEAD + ADA.replace("{{0101}}", "") + "0102,Bo Ek\n", refused=True)
case("rows-short-of-somebody-else", HEAD + ADA + "9999,Somebody\n" + BO)
case("rows-decimal-comma-splits", HEAD + ADA.replace("{{0101}}", "") + "0102,Bo Ek,4,5,9\n", refused=True)
case("rows-average-without-id", ALL + ',average,3.0,"=AVERAGE(D2:D7)"\n')
case("rows-notes-below", ALL + "\nquiz 2 was repeated\n")
case("rows-blank-between", HEAD + ADA + "\n\n" + BO + "   \n" + LI)
case("rows-of-one-student-twice", HEAD + ADA.replace("{{0101}}", "") + "0101,Ada again,3,\n", refused=True)
case("rows-of-somebody-else-twice", HEAD + ADA + "9999,Some,1,1\n9999,Body,2,2\n")
case("rows-unsorted-and-of-three-classes", HEAD + "9001,A,1,2\n" + LI + "9002,B,,\n" + ADA + BO + "9003,C,,4\n")

# quotes
case("quotes-everywhere", quoted(ALL))
case("quotes-on-the-target-alone", HEAD + '0101,Ada,3,"{{0101}}"\n0102,Bo,4,{{0102}}\n')
case("quotes-doubled-elsewhere", HEAD + '0101,"Ada ""the first"", Brandt",3,{{0101}}\n0102,"""",4,"{{0102}}"\n')
case("quotes-around-breaks", crlf(HEAD) + '0101,"Ada\r\nBrandt",3,{{0101}}\r\n0102,"Bo\nEk",4,{{0102}}\r\n')
case("quotes-never-closed", HEAD + ADA.replace("{{0101}}", "") + '0102,"Bo Ek,4,\n00310,Li,5,\n', refused=True)
case("quotes-joining-rows", HEAD + '0101,"Ada,3,\n0102,"Bo",4,\n', refused=True)
case("quotes-with-text-behind", HEAD + '0101,"Ada" B.,3,\n', refused=True)
case("quotes-with-text-behind-elsewhere", HEAD + '9999,"Ada" B.,3,\n' + BO)
case("quotes-with-blanks-behind", HEAD + '0101,"Ada" ,3,{{0101}}\n')
case("quotes-inside-bare-text", HEAD + '0101,Ada 5" Brandt,3,{{0101}}\n')
case("quotes-around-ids", '"Student ID";"ropes-1"\n"0101";{{0101}}\n" 0102 ";"{{0102}}"\n')

# ids
case("ids-with-blanks", HEAD + " 0101 ,Ada,3,{{0101}}\n\u00a00102\u00a0,Bo,4,{{0102}}\n")
case("ids-without-zeros", HEAD + "101,Ada Brandt,3,\n102,Bo Ek,4,\n310,Li Wei,5,\n")
case("ids-without-zeros-linked", HEAD + "101,Ada Brandt,3,{{0101}}\n102,Bo Ek,4,\n", "link 0101=101")
case("ids-without-zeros-like-two", HEAD + "310,Li Wei,5,\n0000310,Li Na,5,\n")
case("ids-rounded", HEAD + "1.01E+15,Ada,3,\n1.01E+2,Bo,4,\n")
case("ids-as-formulas", HEAD + '"=""0101""",Ada,3,{{0101}}\n="0102",Bo,4,{{0102}}\n')
case("ids-with-an-apostrophe", HEAD + "'0101,Ada,3,\n" + BO)
case("ids-as-decimals", HEAD + "101.0,Ada,3,\n" + BO)
case("ids-of-another-system-by-name", "Student ID,Surname,Given name,ropes-1\nu77,Brandt,Ada,\nu78,D'Ambrisi,Zoe,\nu79,Wei,Lii,\nu80,Kovacic,Anna,\n")
case("ids-linked-and-there", HEAD + ADA.replace("{{0101}}", "") + "101,Ada,3,\n", "link 0101=101", refused=True)
case("ids-in-full-width", HEAD + "０１０１,Ada,3,\n" + BO)

# what stands in the cells
case("cells-same-marks", HEAD + "0101,Ada,3,13\n0102,Bo,4,12.50\n0103,Zoë,,0.0\n0205,欧阳,, 7.25 \n")
case("cells-other-marks", HEAD + "0101,Ada,3,{{0101|12}}\n0102,Bo,4,{{0102}}\n")
case("cells-of-a-blank", HEAD + "0101,Ada,3,{{0101| }}\n0102,Bo,4,\"{{0102| \u00a0}}\"\n")
case("cells-with-words", HEAD + "0101,Ada,3,{{0101|abs}}\n0102,Bo,4,{{0102|–}}\n")
case("cells-with-formulas", HEAD + "0101,=1+1,=C2*2,{{0101}}\n0102,@x,+4,{{0102|=C3}}\n")
case("cells-with-controls-and-emoji", HEAD + "0101,A\u202eda\U0001f600\x07,3,{{0101}}\n")
case("cells-very-long", HEAD + "0101,Ada " + "x" * 40_000 + ",3,{{0101}}\n" + BO)
case("marks-decimal-comma", separated(HEAD, ";") + "0101;Ada;3,5;{{0101}}\n0102;Bo;4;{{0102||12,5}}\n", "decimal comma")
case("marks-decimal-comma-quoted", HEAD + '0101,Ada,"3,5",{{0101}}\n0102,Bo,4,{{0102||"12,5"}}\n', "decimal comma")
case("marks-decimal-comma-the-same", separated(HEAD, ";") + "0101;Ada;3;13,0\n0102;Bo;4;12,50\n", "decimal comma")
case("marks-word-for-the-absent", HEAD + ADA + "0204,Ana Kovačić,1,{{0204||abs}}\n", "absent abs")


def before(found):
    return (found.group(1).split("|") + [""])[1]


def after(found):
    parts = found.group(1).split("|")
    return parts[2] if len(parts) > 2 else MARKS[parts[0]]


def main():
    for path in FOLDER.glob("*"):
        if path.suffix in (".csv", ".filled", ".said"):
            path.unlink()
    for name, (text, said, encoding, mark, refused, raw) in CASES.items():
        old = re.sub(r"\{\{(.*?)\}\}", before, text, flags=re.S)
        new = re.sub(r"\{\{(.*?)\}\}", after, text, flags=re.S)
        old, new = (mark + text.encode(encoding) for text in (old, new))
        old = old if raw is None else raw
        (FOLDER / f"{name}.csv").write_bytes(old)
        if said:
            (FOLDER / f"{name}.said").write_text(said + "\n", encoding="utf-8")
        if not refused and new != old:
            (FOLDER / f"{name}.filled").write_bytes(new)
    print(len(CASES))


main()
