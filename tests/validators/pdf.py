"""Validates PDFs with independent tools: syntax (qpdf), embedded fonts and text (poppler), PDF/UA-1 (page-validation).

    python pdf.py FOLDER…

Prints one line a fault, `fault FILE  what`, and one line of sums; exits 1 if there is a fault.
"""

import json
import subprocess
import sys
from pathlib import Path

import page


def run(*command):
    done = subprocess.run(command, capture_output=True, text=True, errors="replace")
    return done.returncode, done.stdout, done.stderr


def faults(path):
    status, out, err = run("qpdf", "--check", str(path))
    if status != 0:
        yield f"qpdf: {(err or out).strip().splitlines()[-1]}"
    _, out, _ = run("pdffonts", str(path))
    fonts = out.splitlines()[2:]
    if not fonts:
        yield "no fonts"
    for line in fonts:
        # name, type, encoding, then: embedded, subset, unicode, object number, generation
        embedded, _, unicode = line.split()[-5:-2]
        if embedded != "yes":
            yield f"font not embedded: {line.split()[0]}"
        if unicode != "yes":
            yield f"font without a map to text: {line.split()[0]}"
    _, out, _ = run("pdfinfo", str(path))
    info = dict(line.split(":", 1) for line in out.splitlines() if ":" in line)
    if not info.get("Title", "").strip():
        yield "no title"
    if info.get("Tagged", "").strip() != "yes":
        yield "not tagged"
    _, out, _ = run("pdftotext", "-layout", str(path), "-")
    pages = out.split("\f")[:-1]
    if len(pages) != int(info.get("Pages", "0")):
        yield f"{len(pages)} pages of text, {info.get('Pages')} pages"
    # Backs of cards may be bare, so may the last of a sheet; whole documents without words may not.
    if not any(p.strip() for p in pages):
        yield "no text"
    if any("\ufffd" in p for p in pages):
        yield "a letter without a meaning in the text"
    status, out, _ = run("qpdf", "--json", "--json-key=outlines", "--json-key=pagelabels", str(path))
    structure = json.loads(out) if status == 0 else {}
    if not structure.get("outlines"):
        yield "no bookmarks"
    result = page.validate_pdf(str(path), profile="ua1")
    if not result.is_compliant:
        names = sorted({str(f.get("rule_id", f.get("rule", f)))[:120] for f in result.to_dict().get("failures", [])})
        yield f"not PDF/UA-1: {', '.join(names)}"


def main():
    files = sorted(f for folder in sys.argv[1:] for f in Path(folder).rglob("*.pdf"))
    if not files:
        print("fault no PDFs were found")
        return 1
    count = 0
    for path in files:
        for fault in faults(path):
            count += 1
            print(f"fault {path}  {fault}")
    print(f"{len(files)} PDFs, {count} faults")
    return 1 if count else 0


sys.exit(main())
