#!/usr/bin/python3
"""Makes the files two_plugs.* anew: one invented pin table as CSV, as spreadsheets and as PDF, by programs that differ.

Needs python3-openpyxl, LibreOffice (calc and writer), groff and qpdf. Run in this folder; the results are kept in the repository,
so that tests need none of these programs.
"""
import csv
import html
import pathlib
import subprocess
import tempfile
import zipfile

import openpyxl
from openpyxl.styles import Border, Side

head = ["Pin", "Function", "Colour", "Note"]
names = ["Battery supply", "Earth", "Crank sensor high", "Crank sensor low", "Road speed signal", "Kühlmittelfühler",
         "Lamp relay coil", "Oil pressure switch", "CAN high", "CAN low", "Throttle position sensor signal",
         "Supply of the sensors, 5 V"]
colours = ["RD", "BN", "YE", "GN", "BU/RD", "WH/BK", "GY", "VT/YE", "YE/BK", "GN/BK", "BU", "OG/WH", "PK"]


def rows_of(count, shift):
    """(cavity, function, colour, note) of each pin; the two of a pair share their note."""
    rows = []
    for i in range(count):
        note = "2.5 mm²" if i % 12 < 2 else "twisted pair" if names[(i + shift) % 12].startswith(("Crank", "CAN")) else ""
        rows.append([i + 1, names[(i + shift) % 12] + (f" {i // 12 + 1}" if i >= 12 else ""), colours[(i * 5) % 13], note])
    return rows


plugs = {"Connector X1": rows_of(56, 0), "Connector X2": rows_of(9, 5)}


def write_csv(path):
    with open(path, "w", encoding="utf-8", newline="") as file:
        out = csv.writer(file)
        for number, (plug, rows) in enumerate(plugs.items()):
            if number:
                out.writerow([])
            out.writerow([plug, "", "", ""])
            out.writerows([head, *rows])


def workbook(formulas, merged):
    """Merged: notes of pairs stand over both rows. With formulas, each cavity but the first is counted from the one above."""
    book = openpyxl.Workbook()
    book.remove(book.active)
    line = Side(style="thin")
    for plug, rows in plugs.items():
        sheet = book.create_sheet(plug)
        sheet.append(head)
        for row in rows:
            sheet.append([value if value != "" else None for value in row])
        for number, row in enumerate(rows, 2):
            if formulas and number > 2:
                sheet.cell(number, 1).value = f"=A{number - 1}+1"
            below = rows[number - 1] if number - 1 < len(rows) else None
            if merged and row[3] == "twisted pair" and row[1].find("high") > 0 and below and below[3] == row[3]:
                sheet.merge_cells(start_row=number, end_row=number + 1, start_column=4, end_column=4)
        for row in sheet.iter_rows():
            for cell in row:
                cell.border = Border(line, line, line, line)
        for letter, width in zip("ABCD", (6, 34, 10, 16)):
            sheet.column_dimensions[letter].width = width
    return book


def write_html(path):
    parts = ["<html><head><meta charset='utf-8'></head><body><p><font size=6>Controller ZK-4</font></p>",
             "<p>Both plugs are seen from the wire side.</p>"]
    for plug, rows in plugs.items():
        parts.append(f"<p><font size=5>{plug}</font></p><table border='1' width='100%'><thead><tr>")
        parts += [f"<td>{name}</td>" for name in head]
        parts.append("</tr></thead>")
        for row in rows:
            parts.append("<tr>" + "".join(f"<td>{html.escape(str(cell))}</td>" for cell in row) + "</tr>")
        parts.append("</table>")
    path.write_text("\n".join([*parts, "<p>Tighten the screw of each plug by hand.</p></body></html>"]), encoding="utf-8")


def write_groff(path):
    parts = [".ds LH Workshop manual", ".ds CH", ".ds RH Page %", ".TL", "Controller ZK-4", ".LP",
             "Both plugs are seen from the wire side."]
    for plug, rows in plugs.items():
        parts += [".NH 1", plug, ".LP", ".TS H", "tab(;);", "lB lB lB lB", "n l l l.", ";".join(head), "_", ".TH"]
        parts += [";".join(str(cell) for cell in row) for row in rows]
        parts.append(".TE")
    path.write_text("\n".join([*parts, ".LP", "Tighten the screw of each plug by hand.", ""]), encoding="utf-8")


def convert(source, kind, folder, *more):
    subprocess.run(["soffice", "--headless", "--convert-to", kind, *more, source, "--outdir", folder], check=True,
                   stdout=subprocess.DEVNULL)


def without_picture(path):
    """Takes the preview of the first page out, which is the largest part."""
    with zipfile.ZipFile(path) as archive:
        parts = [(entry, archive.read(entry)) for entry in archive.infolist() if "Thumbnails" not in entry.filename]
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as archive:
        for entry, data in parts:
            archive.writestr(entry, data)


def main():
    here = pathlib.Path(".")
    write_csv(here / "two_plugs.csv")
    workbook(False, True).save(here / "two_plugs_openpyxl.xlsx")
    with tempfile.TemporaryDirectory() as name:
        work = pathlib.Path(name)
        workbook(True, True).save(work / "book.xlsx")
        workbook(False, False).save(work / "printed.xlsx")
        convert(work / "book.xlsx", "ods", work)
        convert(work / "book.ods", "xlsx", work / "again")
        convert(work / "printed.xlsx", "pdf", work)
        write_html(work / "page.html")
        convert(work / "page.html", "pdf:writer_pdf_Export", work, "--infilter=HTML (StarWriter)")
        write_groff(work / "page.ms")
        page = subprocess.run(["groff", "-k", "-t", "-ms", "-Tpdf", work / "page.ms"], check=True, stdout=subprocess.PIPE)
        copies = {"book.ods": "two_plugs_libreoffice.ods", "again/book.xlsx": "two_plugs_libreoffice.xlsx",
                  "printed.pdf": "two_plugs_calc.pdf", "page.pdf": "two_plugs_writer.pdf"}
        for source, target in copies.items():
            if source.endswith("pdf"):
                small = ["qpdf", "--object-streams=generate", "--recompress-flate", "--compression-level=9"]
                subprocess.run([*small, work / source, here / target], check=True)
            else:
                (here / target).write_bytes((work / source).read_bytes())
        without_picture(here / "two_plugs_libreoffice.ods")
        (here / "two_plugs_groff.pdf").write_bytes(page.stdout)


if __name__ == "__main__":
    main()
