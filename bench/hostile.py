"""200 hostile PDFs, read in a folder at once and one by one: what each ends as, and what it costs.

    python bench/hostile.py [--count 200] [--seed 19] [--first N] [--one-by-one N] [--no-folder]

Comes in: nothing; the files are made here, from a seed: forms that draw themselves, shadings, fonts,
patterns, compressed bombs, nests, giant and cropped pages, user units, broken tables of places, names no file
should have, and sheets of sample_tables cut and scrambled. Goes out: a table on stdout: how many were read,
refused, too slow, too large, crashed; the most processor time and memory of one command. Fails (exit 1)
where a command shows a traceback, ends by a signal, takes more than 130 s of processor time or 3 GB, or where
a sound sheet among the hostile ones is not read as it is alone.
"""

from __future__ import annotations

import argparse
import os
import random
import re
import resource
import subprocess
import sys
import tempfile
import time
import zlib
from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

ROOT = Path(__file__).parents[1]
SAMPLES = ROOT / "sample_tables"
SOUND = ("thimblecrag_tcg.pdf", "jorrowind_jw.pdf", "quarrowick_qk.pdf")
CPU_S, MAX_BYTES = 130.0, 3_000_000_000
TABLE = (b"BT /F1 9 Tf 40 700 Td (Resettable fuses: Ihold 0.50 A Itrip 1.00 A Vmax 24 V Imax 40 A Rmin 0.15)"
         b" Tj ET ")
NUMBERS = b" ".join(b"BT /F1 9 Tf %d %d Td (0.%02d) Tj ET" % (40 + 60 * (n % 8), 660 - 12 * (n // 8), n)
                    for n in range(64))


def pdf(content: bytes, page: bytes = b"", objects: tuple[bytes, ...] = (), resources: bytes = b"") -> bytes:
    """A PDF of one page that looks like a sheet of ratings; `objects` begin with number 6."""
    font = b"<< /Type /Font /Subtype /Type1 /BaseFont /Helvetica >>"
    packed = zlib.compress(TABLE + NUMBERS + content, 1)
    parts = [
        b"<< /Type /Catalog /Pages 2 0 R >>",
        b"<< /Type /Pages /Kids [3 0 R] /Count 1 >>",
        b"<< /Type /Page /Parent 2 0 R " + (page or b"/MediaBox [0 0 600 800]")
        + b" /Contents 4 0 R /Resources << /Font << /F1 5 0 R >> " + resources + b" >> >>",
        b"<< /Length %d /Filter /FlateDecode >>\nstream\n" % len(packed) + packed + b"\nendstream",
        font, *objects,
    ]
    out, places = b"%PDF-1.7\n", []
    for number, part in enumerate(parts, start=1):
        places.append(len(out))
        out += b"%d 0 obj\n" % number + part + b"\nendobj\n"
    table = b"".join(b"%010d 00000 n \n" % place for place in places)
    return (out + b"xref\n0 %d\n0000000000 65535 f \n" % (len(parts) + 1) + table
            + b"trailer\n<< /Size %d /Root 1 0 R >>\nstartxref\n%d\n%%%%EOF\n" % (len(parts) + 1, len(out)))


def stream(head: bytes, data: bytes) -> bytes:
    """A stream object."""
    return b"<< " + head + b" /Length %d >>\nstream\n" % len(data) + data + b"\nendstream"


Maker = Callable[[random.Random], bytes]


def self_drawing(dice: random.Random) -> bytes:
    """A form that draws itself, or a chain of forms of which each draws the next many times."""
    box = b"/Type /XObject /Subtype /Form /BBox [0 0 600 800]"
    if dice.random() < 0.3:
        form = stream(box + b" /Resources << /XObject << /X 6 0 R >> >>", b"/X Do /X Do ")
        return pdf(b"/X Do", objects=(form,), resources=b"/XObject << /X 6 0 R >>")
    depth, times = dice.randrange(4, 9), dice.randrange(6, 14)
    forms = [stream(box + b" /Resources << /XObject << /X %d 0 R >> >>" % (7 + n), b"/X Do " * times)
             for n in range(depth)]
    forms.append(stream(box + b" /Resources << /Font << /F1 5 0 R >> >>", NUMBERS))
    return pdf(b"/X Do", objects=tuple(forms), resources=b"/XObject << /X 6 0 R >>")


def bomb(dice: random.Random) -> bytes:
    """Content that unpacks to very much."""
    word = dice.choice((b"0 0 m ", b"q ", b"[", b"(a) Tj ", b"BT 1 0 0 1 5 5 Tm (0.5) Tj ET ",
                        b"0 0 9 9 re f "))
    return pdf(word * (dice.randrange(5, 60) * 1_000_000 // len(word)))


def shading(dice: random.Random) -> bytes:
    """A shading over a page of huge coordinates, of a function that calls for many samples."""
    size = dice.choice((10, 200, 4000))
    function = stream(b"/FunctionType 0 /Domain [0 1 0 1] /Range [0 1] /BitsPerSample 8 /Size [%d %d]"
                      % (size, size), bytes(min(size * size, 200_000)))
    shade = (b"<< /ShadingType 1 /ColorSpace /DeviceGray /Domain [0 1 0 1] /Matrix [1e9 0 0 1e9 -1e8 -1e8]"
             b" /Function 6 0 R >>")
    return pdf(b"/S sh " * dice.randrange(1, 3000), objects=(function, shade),
               resources=b"/Shading << /S 7 0 R >>")


def pattern(dice: random.Random) -> bytes:
    """A pattern of tiny tiles over a large area, or one that paints with itself."""
    step = dice.choice((0.001, 0.01, 1.0))
    tile = stream(b"/Type /Pattern /PatternType 1 /PaintType 1 /TilingType 1 /BBox [0 0 1 1]"
                  b" /XStep %f /YStep %f /Resources << /Pattern << /P 6 0 R >> >>" % (step, step),
                  b"/Pattern cs /P scn 0 0 1 1 re f")
    return pdf(b"/Pattern cs /P scn 0 0 600 800 re f", objects=(tile,), resources=b"/Pattern << /P 6 0 R >>")


def font(dice: random.Random) -> bytes:
    """Fonts whose widths, maps or programs are wrong, endless or refer to themselves."""
    odd = dice.choice((
        b"<< /Type /Font /Subtype /Type3 /FontBBox [0 0 1 1] /FontMatrix [1 0 0 1 0 0] /FirstChar 0"
        b" /LastChar 255 /Widths [1] /Encoding << /Differences [0 /a] >> /CharProcs << /a 4 0 R >>"
        b" /Resources << /Font << /F1 6 0 R >> >> >>",
        b"<< /Type /Font /Subtype /Type0 /BaseFont /X /Encoding /Identity-H /DescendantFonts [6 0 R] >>",
        b"<< /Type /Font /Subtype /TrueType /BaseFont /X /FirstChar -2147483648 /LastChar 2147483647"
        b" /Widths [0 1 2] >>",
        b"<< /Type /Font /Subtype /Type1 /BaseFont /X /ToUnicode 7 0 R >>",
    ))
    ranges = b"".join(b"<%04x> <%04x> <0000>\n" % (n * 16, 0xFFFF) for n in range(4000))
    cmap = stream(b"", b"begincmap 1 begincodespacerange <0000> <FFFF> endcodespacerange 4000 beginbfrange\n"
                  + ranges + b"endbfrange endcmap")
    return pdf(b"BT /F6 9 Tf 40 400 Td (0.5 1.0 24) Tj ET " * 50, objects=(odd, cmap),
               resources=b"/Font << /F6 6 0 R /F1 5 0 R >>")


def picture(dice: random.Random) -> bytes:
    """A picture that says it is enormous."""
    side = dice.choice((20_000, 60_000, 2_000_000_000))
    data = zlib.compress(bytes(1_000_000))
    head = (b"/Type /XObject /Subtype /Image /Width %d /Height %d /ColorSpace /DeviceRGB /BitsPerComponent 8"
            b" /Filter /FlateDecode" % (side, side))
    return pdf(b"q 600 0 0 800 0 0 cm /I Do Q", objects=(stream(head, data),),
               resources=b"/XObject << /I 6 0 R >>")


def boxes(dice: random.Random) -> bytes:
    """Pages cropped, turned, giant, turned inside out, with user units."""
    page = dice.choice((
        b"/MediaBox [0 0 600 800] /CropBox [30 200 580 780]", b"/MediaBox [-1e9 -1e9 1e9 1e9]",
        b"/MediaBox [600 800 0 0] /Rotate 90", b"/MediaBox [0 0 600 800] /UserUnit 75000",
        b"/MediaBox [0 0 0 0]", b"/MediaBox [0 0 600 800] /CropBox [5000 5000 6000 6000]",
        b"/MediaBox [nan inf 1 2]",
        b"/MediaBox [-300 -200 300 600] /CropBox [-290 -190 290 590] /Rotate -450",
    ))
    return pdf(b"", page)


def nest(dice: random.Random) -> bytes:
    """Arrays, dictionaries and states nested very deep."""
    deep = dice.randrange(2_000, 200_000)
    return pdf(dice.choice((b"[" * deep + b"]" * deep, b"<< /a " * deep, b"q " * deep, b"BT " * deep)))


def many_objects(dice: random.Random) -> bytes:
    """Very many small strokes or letters in every place."""
    count = dice.randrange(50_000, 400_000)
    if dice.random() < 0.5:
        return pdf(b"".join(b"%d %d m %d %d l S\n" % (n % 600, n % 797, n % 599, n % 799)
                            for n in range(count)))
    return pdf(b"".join(b"BT /F1 1 Tf %d %d Td (%d) Tj ET\n" % (n % 600, n % 797, n)
                        for n in range(count // 4)))


def scrambled(dice: random.Random) -> bytes:
    """A sound sheet cut short, or with bytes changed."""
    data = bytearray((SAMPLES / dice.choice(SOUND)).read_bytes())
    if dice.random() < 0.5:
        del data[dice.randrange(8, len(data)):]
    else:
        for _ in range(dice.choice((1, 20, 400))):
            data[dice.randrange(len(data))] = dice.randrange(256)
    return bytes(data)


def cyclic(dice: random.Random) -> bytes:
    """Pages that are their own parents, lengths that are themselves, tables of places that go round."""
    return dice.choice((
        b"%PDF-1.4\n1 0 obj << /Type /Catalog /Pages 1 0 R >> endobj\ntrailer << /Root 1 0 R >>",
        b"%PDF-1.4\n1 0 obj << /Type /Catalog /Pages 2 0 R >> endobj\n2 0 obj << /Type /Pages"
        b" /Kids [2 0 R 2 0 R] /Count 9999999 >> endobj\ntrailer << /Root 1 0 R >>",
        pdf(b"").replace(b"/Length ", b"/Length 4 0 R /Was "),
        pdf(b"").replace(b"startxref\n", b"startxref\n0"),
        pdf(b"").replace(b"/Size", b"/Prev 9 /Size"),
        pdf(b"").replace(b"/Count 1", b"/Count 2147483647"),
    ))


MAKERS: tuple[Maker, ...] = (self_drawing, bomb, shading, pattern, font, picture, boxes, nest, many_objects,
                             scrambled, cyclic)
NAMES = ("plain", "two\nlines", "bidi\u202efdp", "bell\x07", "=cmd()", "<b>bold", "quote\"'", "-option",
         "%s%n", "ünï", os.fsdecode(b"latin\xe9"))


def make_folder(folder: Path, numbers: range, seed: int) -> list[Path]:
    """The hostile files of some numbers, each kind in turn; names that no file should have among them. Each
    file has its own dice, so that a part of them is the same files."""
    made = []
    for number in numbers:
        maker = MAKERS[number % len(MAKERS)]
        path = folder / f"{NAMES[number % len(NAMES)]}_{maker.__name__}_{number:03}.pdf"
        path.write_bytes(maker(random.Random(f"{seed} {number}")))
        made.append(path)
    return made


@dataclass(frozen=True, slots=True)
class Ended:
    """How a command ended: exit code, what it said, processor time and most memory of it and its workers."""

    code: int
    said: str
    cpu_s: float
    max_bytes: int
    seconds: float


def run(arguments: list[str]) -> Ended:
    """Type a command and measure it with all its children; each in a process of its own, so that the
    system's count of memory begins anew."""
    before, start = resource.getrusage(resource.RUSAGE_CHILDREN), time.monotonic()
    code = ("import resource, subprocess, sys\n"
            "done = subprocess.run(sys.argv[1:], capture_output=True, text=True, errors='backslashreplace')\n"
            "used = resource.getrusage(resource.RUSAGE_CHILDREN)\n"
            "sys.stdout.write(f'{done.returncode} {used.ru_maxrss * 1024}\\n' + done.stdout + done.stderr)\n")
    command = [sys.executable, "-c", code, sys.executable, "-m", "holdtrip", *arguments]
    done = subprocess.run(command, cwd=ROOT, capture_output=True, text=True, errors="backslashreplace",
                          check=False)
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    cpu_s = after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime
    head, _, said = done.stdout.partition("\n")
    ended, peak = head.split()
    return Ended(int(ended), said, cpu_s, int(peak), time.monotonic() - start)


def said_to_end(said: str) -> str:
    """What became of a file, in a word or two."""
    for words in ("too slow", "too large", "crashed", "cannot be read"):
        if words in said:
            return words
    return "refused" if "holdtrip:" in said else "read"


def faults(name: str, ended: Ended, is_one: bool) -> list[str]:
    """What must not be."""
    found = []
    if "Traceback" in ended.said or ended.code not in (0, 1, 2):
        found.append(f"{name!r}: exit code {ended.code}, {ended.said[-200:]!r}")
    if is_one and ended.cpu_s > CPU_S:
        found.append(f"{name!r}: {ended.cpu_s:.0f} s of processor time")
    if ended.max_bytes > MAX_BYTES:
        found.append(f"{name!r}: {ended.max_bytes / 1e9:.1f} GB")
    return found


def main() -> int:
    """Make, read, measure, print."""
    as_written = argparse.RawDescriptionHelpFormatter
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=as_written)
    parser.add_argument("--count", type=int, default=200)
    parser.add_argument("--seed", type=int, default=19)
    parser.add_argument("--first", type=int, default=0, help="the first of them to be read one by one; 0")
    parser.add_argument("--one-by-one", type=int, default=None, help="so many of them one by one; all")
    parser.add_argument("--no-folder", action="store_true", help="do not read them in a folder")
    options = parser.parse_args()
    with tempfile.TemporaryDirectory() as scratch:
        folder = Path(scratch) / "hostile"
        folder.mkdir()
        first, last = options.first, options.count
        if options.one_by_one is not None:
            last = min(last, first + options.one_by_one)
        every = range(first, last) if options.no_folder else range(options.count)
        paths = make_folder(folder, every, options.seed)
        wrong = read_each(paths[first - every.start:last - every.start])
        if not options.no_folder:
            wrong += read_folder(folder, Path(scratch))
    print("\n".join(wrong)
          or "no fault: no traceback, no signal, within the limits, sound sheets undisturbed")
    return 1 if wrong else 0


def read_each(paths: list[Path]) -> list[str]:
    """Read files one by one, print what they cost; the faults found."""
    wrong, ends, most_s, most_bytes = [], Counter[str](), 0.0, 0
    for path in paths:
        ended = run(["read", str(path)])
        found = faults(path.name, ended, is_one=True)
        if found:
            print("\n".join(found), flush=True)  # whoever stops the bench has seen them
        wrong += found
        ends[said_to_end(ended.said)] += 1
        if ended.cpu_s > 20 or ended.max_bytes > 1_000_000_000:
            print(f"  {path.name!r}: {ended.cpu_s:.0f} s, {ended.max_bytes / 1e9:.2f} GB,"
                  f" {said_to_end(ended.said)}", flush=True)
        most_s, most_bytes = max(most_s, ended.cpu_s), max(most_bytes, ended.max_bytes)
    print(f"one by one: {sum(ends.values())} files: {dict(ends)}; at most {most_s:.1f} s of processor"
          f" time and {most_bytes / 1e9:.2f} GB each", flush=True)
    return wrong


def read_folder(folder: Path, scratch: Path) -> list[str]:
    """Read them all at once, sound sheets among them, print what it cost; the faults found."""
    alone = {}
    for name in SOUND:
        out = scratch / f"{name}.csv"
        run(["read", str(SAMPLES / name), "--long", str(out)])
        alone[name] = sorted(out.read_text(encoding="utf-8").splitlines()[1:])
        (folder / f"sound_{name}").write_bytes((SAMPLES / name).read_bytes())
    table = scratch / "folder.csv"
    ended = run(["read", str(folder), "--long", str(table)])
    wrong = faults("folder", ended, is_one=False)
    left_out = re.findall("not read: .*", ended.said)
    reasons = Counter(said_to_end(f"holdtrip: {line}") for line in left_out)
    print(f"in a folder: exit code {ended.code} after {ended.seconds:.0f} s, {ended.cpu_s:.0f} s of"
          f" processor time, {ended.max_bytes / 1e9:.2f} GB in one worker;"
          f" not read: {dict(reasons)}")
    read = table.read_text(encoding="utf-8").splitlines()[1:] if table.exists() else []
    for name, rows in alone.items():
        here = sorted(row.removeprefix("sound_") for row in read if row.startswith(f"sound_{name}"))
        if here != rows:
            wrong.append(f"{name}: read otherwise among hostile files than alone")
    return wrong


if __name__ == "__main__":
    sys.exit(main())
