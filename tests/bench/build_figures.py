"""Prints the figures a build is held to: cold, edited, untouched, one page, help, and how cost grows.

Run by hand: ``python tests/bench/build_figures.py [--runs N] [--growth 100,1000]``. Wall times are medians of several
runs of the command as a user types it; the reference is one LilyPond process that engraves the same music in one file.
The program runs from its compiled files, as it does once installed, wherever the caller's settings would have it
compiled anew at every start.
"""

import argparse
import json
import os
import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
SURROUNDINGS = {name: value for name, value in os.environ.items() if name != "PYTHONDONTWRITEBYTECODE"}
KEYS = ["C", "G", "D", "A", "E", "F", "B flat", "E flat", "A flat", "F sharp", "B", "D flat"]
ENTRIES = [
    "kind: scale, scale: major, octaves: 2, left_hand: {open_strings: avoid}",
    "kind: scale, scale: harmonic minor, octaves: 2, left_hand: {open_strings: avoid}",
    "kind: arpeggio, chord: dominant seventh, octaves: 2, left_hand: {open_strings: avoid}",
    "kind: scale, scale: major, octaves: 2, metre: 3/4",
]
TONICS = {"harmonic minor": ["A", "E", "B", "F sharp", "C sharp", "G sharp", "D", "G", "C", "F", "B flat", "E flat"]}


def book_text(count: int, edited: int | None = None) -> str:
    """A book of `count` exercises of about four bars; `edited` changes one of them."""
    lines = ["title: Bench", "defaults: {tempo: {from: 60, to: 90}, right_hand: {alternate: [i, m]}}", "chapters:"]
    for index in range(count):
        if index % 24 == 0:
            lines += [f"  - title: Chapter {index // 24 + 1}", "    exercises:"]
        entry = ENTRIES[index % len(ENTRIES)]
        keys = next((keys for name, keys in TONICS.items() if name in entry), KEYS)
        key = keys[index // len(ENTRIES) % 12]
        change = ", rhythm: triplets" if index == edited else ""
        lines.append(f"      - {{id: e{index}, tonics: [{key}], {entry}{change}}}")
    return "\n".join(lines) + "\n"


BUILD = """
import json, resource, sys
from engraver.cli import main
sys.argv[1:] = ["build", sys.argv[1], "--out", sys.argv[2]]
try:
    main()
except SystemExit as ended:
    assert not ended.code
own, others = resource.getrusage(resource.RUSAGE_SELF), resource.getrusage(resource.RUSAGE_CHILDREN)
print(json.dumps({"own": own.ru_utime + own.ru_stime, "lilypond": others.ru_utime + others.ru_stime,
    "memory_mb": own.ru_maxrss / 1024, "lilypond_mb": others.ru_maxrss / 1024}))
"""


def timed(*command: str) -> float:
    began = time.perf_counter()
    subprocess.run(command, check=True, capture_output=True, cwd=ROOT, env=SURROUNDINGS)
    return time.perf_counter() - began


def build(book: Path, out: Path) -> dict[str, float]:
    """One build by the command in a process of its own; `process` is its wall time from start to end."""
    began = time.perf_counter()
    command = [sys.executable, "-c", BUILD, str(book), str(out)]
    done = subprocess.run(command, check=True, capture_output=True, text=True, env=SURROUNDINGS)
    whole = time.perf_counter() - began
    (manifest,) = (out / book.stem).glob("*/manifest.json")
    counts = json.loads(manifest.read_text("utf-8"))["counts"]
    return {**json.loads(done.stdout.splitlines()[-1]), **counts, "process": whole}


def reference(book: Path) -> float:
    """Wall time of one plain LilyPond process, with its usual settings, over the music of the whole book."""
    import lilypond

    from engraver.build import draft_exercises
    from engraver.outputs.lilypond import lilypond_file
    from engraver.press.settings import settings_of
    from engraver.spec.reader import read_book

    read = read_book(book)
    settings = settings_of(read.edition)
    drafts = list(draft_exercises(read, list(read.exercises), settings))
    source = lilypond_file([(f"e{n}", draft.source) for n, draft in enumerate(drafts)], settings.engraving)
    options = ["-dbackend=cairo", "-dseparate-page-formats=svg", "-dno-point-and-click", "--loglevel=WARNING"]
    with tempfile.TemporaryDirectory() as folder:
        Path(folder, "all.ly").write_text('\\include "lilypond-book-preamble.ly"\n' + source, "utf-8")
        began = time.perf_counter()
        subprocess.run([str(lilypond.executable()), *options, "all.ly"], cwd=folder, check=True, capture_output=True)
        return time.perf_counter() - began


def middle(values: list[float]) -> float:
    return statistics.median(values)


def main() -> None:
    parser = argparse.ArgumentParser()
    parser.add_argument("--count", type=int, default=240)
    parser.add_argument("--runs", type=int, default=3)
    parser.add_argument("--growth", default="")
    arguments = parser.parse_args()
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        cold_warm_page(folder, arguments.count, arguments.runs)
        for count in filter(None, arguments.growth.split(",")):
            book = folder / f"grow{count}.yaml"
            book.write_text(book_text(int(count)))
            done = build(book, folder / f"out{count}")
            print(
                f"growth {int(count):6d}: {done['process'] / int(count) * 1000:7.2f} ms an exercise, {done['memory_mb']:.0f} MB own, {done['lilypond_mb']:.0f} MB engraver, {done['pages']} pages",
                flush=True,
            )


def cold_warm_page(folder: Path, count: int, runs: int) -> None:
    book = folder / "bench.yaml"
    book.write_text(book_text(count))
    alone, cold, edited, untouched = [], [], [], []
    for run in range(runs):
        alone.append(reference(book))
        out = folder / f"out{run}"
        cold.append(build(book, out))
        untouched.append(build(book, out)["process"])
        book.write_text(book_text(count, edited=count // 2))
        edited.append(build(book, out)["process"])
        book.write_text(book_text(count))
    whole = middle([c["process"] for c in cold])
    share = middle([c["own"] / (c["own"] + c["lilypond"]) for c in cold])
    print(f"one LilyPond process, {count} exercises: {middle(alone):.2f} s")
    print(f"cold build: {whole:.2f} s = {whole / middle(alone):.2f} x (aim 0.65); {cold[0]['pages']} pages")
    print(f"  not LilyPond: {share:.1%} of the CPU time (aim 15 %), {cold[0]['memory_mb']:.0f} MB")
    print(f"one exercise edited: {middle(edited):.2f} s = {middle(edited) / whole:.1%} of cold (aim 8 %)")
    print(f"nothing edited: {middle(untouched):.2f} s = {middle(untouched) / whole:.1%} of cold (aim 3 %)")
    one = folder / "one.yaml"
    one.write_text(book_text(1))
    pages, engraver = [], str(Path(sys.executable).parent / "engraver")
    for run in range(runs + 2):
        pages.append(timed(engraver, "page", str(one), "e0", "--out", str(folder / f"page{run}")))
    single = middle([reference(one) for _ in range(runs + 2)])
    print(
        f"page, cold: {middle(pages):.2f} s = {middle(pages) / single:.2f} x LilyPond alone, {single:.2f} s (aim 2.5)"
    )
    helps = middle([timed(engraver, "--help") for _ in range(runs + 4)])
    bare = middle([timed(sys.executable, "-c", "import typer") for _ in range(runs + 4)])
    print(f"--help: {helps:.2f} s = {helps / bare:.2f} x import typer, {bare:.2f} s (aim 2.5)")


if __name__ == "__main__":
    main()
