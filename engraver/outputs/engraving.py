"""Runs the music engraver: many exercises a run, several runs at once, one picture a system.

The engraver can end well and still have gone wrong, so three things are checked: its status, its log (anything in it
is a fault) and that every exercise left its pictures. A process started ahead reads its fonts and its own files while
the exercises are still being written; it then takes them from its standard input.
"""

import os
import re
import signal
import subprocess
from bisect import bisect_right
from collections.abc import Callable, Sequence
from concurrent.futures import Future, ThreadPoolExecutor, wait
from contextlib import suppress
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory
from types import TracebackType
from typing import TYPE_CHECKING, Self

from engraver.errors import EngravingFailed, Place, ToolMissing
from engraver.outputs.engraved_svg import System, narrowed, tidy
from engraver.outputs.templates_folder import templates_folder
from engraver.score.page import EngravingStyle

if TYPE_CHECKING:
    from engraver.outputs.engraving_table import EngravingTable

_POSITIONED = re.compile(r"^[^:\n]*:(\d+):\d+: (?:programming |fatal )?(?:warning|error): (.*)$", re.MULTILINE)
_PICTURE = re.compile(r"^e(\d+)-(\d+)\.svg$")
_FIRST_PICTURE = "-1.svg"


@dataclass(frozen=True, slots=True)
class EngravingJob:
    """An exercise to engrave: its name for messages, its score block, its place in the book."""

    name: str
    source: str
    place: Place | None = None


@dataclass(frozen=True, slots=True)
class Engraved:
    """The systems of one exercise from top to bottom; `scale` is below 1 where a measure had to be made to fit."""

    systems: tuple[System, ...]
    scale: float = 1.0


class Engraver:
    """Several engraving processes at once; leave the ``with`` block and none is left behind.

    `workers` 0 means one for each core at hand; `ahead` processes are started at once and wait for music.
    Raises ToolMissing when the music engraver is not installed.
    """

    def __init__(self, *, workers: int = 0, ahead: int = 0) -> None:
        self.workers = workers or cores()
        self._pool = ThreadPoolExecutor(self.workers, thread_name_prefix="engraving")
        self._running: set[_Run] = set()
        self._waiting = [_Run() for _ in range(ahead)]

    def submit(self, jobs: Sequence[EngravingJob], style: EngravingStyle) -> Future[dict[str, Engraved]]:
        """The pictures of these exercises by name, once one process has engraved them all.

        The result raises EngravingFailed, naming the exercise that was refused.
        """
        return self._pool.submit(self._engrave, tuple(jobs), style)

    def engraved_so_far(self) -> int:
        """How many exercises the processes now at work have begun to deliver."""
        return sum(run.delivered() for run in tuple(self._running))

    def close(self) -> None:
        """Stops every process and forgets what has not begun."""
        for run in (*self._waiting, *self._running):
            run.stop()
        self._pool.shutdown(cancel_futures=True)
        for run in self._waiting:
            run.clear()

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trail: TracebackType | None
    ) -> None:
        self.close()

    def _engrave(self, jobs: tuple[EngravingJob, ...], style: EngravingStyle) -> dict[str, Engraved]:
        run = self._take()
        self._running.add(run)
        try:
            log, pictures = run.engrave(jobs, style)
        finally:
            self._running.discard(run)
            run.clear()
        if not log and len(pictures) == len(jobs):
            return {job.name: _engraved(pictures[index], style) for index, job in enumerate(jobs)}
        culprit = _culprit(jobs, style, log, pictures)
        if culprit is None:  # the log names no line: let each exercise speak for itself
            return {name: done for job in jobs for name, done in self._engrave((job,), style).items()}
        raise _failure(culprit, log)

    def _take(self) -> "_Run":
        """A process that waits already, or a new one."""
        with suppress(IndexError):
            return self._waiting.pop()
        return _Run()


def engrave(
    jobs: Sequence[EngravingJob],
    style: EngravingStyle,
    *,
    workers: int = 0,
    progress: Callable[[int], None] | None = None,
) -> dict[str, Engraved]:
    """The pictures of every exercise, by its name, in the order given.

    `progress` is told now and then how many exercises are done. Raises EngravingFailed for the first exercise that
    the engraver refuses or warns about, ToolMissing when it is not installed.
    """
    with Engraver(workers=min(workers or cores(), max(len(jobs), 1))) as engraver:
        futures = [engraver.submit(part, style) for part in shares(jobs, engraver.workers)]
        done = gather(engraver, futures, progress)
    return {job.name: done[job.name] for job in jobs}


def gather(
    engraver: Engraver, futures: Sequence[Future[dict[str, Engraved]]], progress: Callable[[int], None] | None = None
) -> dict[str, Engraved]:
    """Everything the futures bring, by name; `progress` hears of exercises as they are delivered."""
    done: dict[str, Engraved] = {}
    told = 0
    open_futures = set(futures)
    poll = engraving_table().running.poll_s if progress else None
    while open_futures:
        finished, open_futures = wait(open_futures, poll, return_when="FIRST_COMPLETED")
        for future in finished:
            done |= future.result()
        if progress:  # a run that has just ended no longer counts its pictures and is not yet among the done
            told = max(told, len(done) + (engraver.engraved_so_far() if open_futures else 0))
            progress(told)
    return done


def shares(jobs: Sequence[EngravingJob], workers: int) -> list[list[EngravingJob]]:
    """The exercises in parts that cost about the same, one for each process or more where there are many.

    The longest source goes first, each to the part that is lightest so far.
    """
    running = engraving_table().running
    rounds = -(-len(jobs) // (workers * running.exercises_per_run))
    parts: list[list[EngravingJob]] = [[] for _ in range(min(workers * max(rounds, 1), len(jobs)))]
    weights = [0] * len(parts)
    for job in sorted(jobs, key=lambda job: -len(job.source)):
        lightest = weights.index(min(weights))
        parts[lightest].append(job)
        weights[lightest] += len(job.source) + running.start_weight
    return parts


def cores() -> int:
    """The cores this process may use."""
    with suppress(AttributeError):
        return len(os.sched_getaffinity(0))
    return os.cpu_count() or 1


class _Run:
    """One process of the music engraver in its own empty folder, waiting for music on its standard input."""

    def __init__(self) -> None:
        command = _command()
        self._folder = TemporaryDirectory(prefix="engraving-")
        self._process = subprocess.Popen(
            command,
            cwd=self._folder.name,
            env=_environment(),
            stdin=subprocess.PIPE,
            stdout=subprocess.DEVNULL,
            stderr=subprocess.PIPE,
            start_new_session=True,
        )

    def engrave(self, jobs: Sequence[EngravingJob], style: EngravingStyle) -> tuple[str, dict[int, tuple[System, ...]]]:
        """The log, empty when all went well, and the pictures by the number of the job."""
        running = engraving_table().running
        source = _source(jobs, style).encode()
        try:
            _, errors = self._process.communicate(
                source, running.timeout_s + running.timeout_per_exercise_s * len(jobs)
            )
        except subprocess.TimeoutExpired:
            self.stop()
            raise EngravingFailed(
                f"engraving did not end in time ({', '.join(job.name for job in jobs[:3])} …)",
                hint="try again, or make the exercise shorter",
            ) from None
        log = errors.decode("utf-8", "replace").strip()
        if self._process.returncode and not log:
            log = f"the engraver stopped with status {self._process.returncode}"
        return log, self._pictures()

    def delivered(self) -> int:
        """How many exercises have left their first picture."""
        with suppress(OSError):
            return sum(path.name.endswith(_FIRST_PICTURE) for path in Path(self._folder.name).iterdir())
        return 0

    def stop(self) -> None:
        """Ends the process and all it started."""
        with suppress(ProcessLookupError, PermissionError):
            if hasattr(os, "killpg"):
                os.killpg(self._process.pid, signal.SIGKILL)
            else:
                self._process.kill()
        self._process.wait()

    def clear(self) -> None:
        """Closes the pipes and removes the folder."""
        for pipe in (self._process.stdin, self._process.stderr):
            if pipe is not None:
                with suppress(OSError):
                    pipe.close()
        self._folder.cleanup()

    def _pictures(self) -> dict[int, tuple[System, ...]]:
        found: dict[int, dict[int, System]] = {}
        for path in Path(self._folder.name).iterdir():
            if name := _PICTURE.match(path.name):
                found.setdefault(int(name[1]), {})[int(name[2])] = tidy(path.read_bytes())
        return {job: tuple(systems[number] for number in sorted(systems)) for job, systems in found.items()}


def _engraved(systems: tuple[System, ...], style: EngravingStyle) -> Engraved:
    fitted = narrowed(systems, style.line_width_mm)
    return Engraved(fitted, round(fitted[0].width_mm / systems[0].width_mm, 3))


def engraving_table() -> "EngravingTable":
    """The engraving table; read late, so that a process can be started ahead before anything else is loaded."""
    from engraver.outputs.engraving_table import engraving_table

    return engraving_table()


def _source(jobs: Sequence[EngravingJob], style: EngravingStyle) -> str:
    """The whole input; output names are numbers of ours."""
    from engraver.outputs.lilypond import lilypond_file

    return lilypond_file([(f"e{index}", job.source) for index, job in enumerate(jobs)], style)


def _culprit(
    jobs: Sequence[EngravingJob], style: EngravingStyle, log: str, pictures: dict[int, tuple[System, ...]]
) -> EngravingJob | None:
    """The first exercise the log complains of, by the line; or the first without pictures; or the only one."""
    if len(jobs) == 1:
        return jobs[0]
    lines = _source(jobs, style).splitlines()
    starts = [number for number, line in enumerate(lines, start=1) if "\\bookOutputName" in line]
    if (found := _POSITIONED.search(log)) and (index := bisect_right(starts, int(found[1]))):
        return jobs[index - 1]
    if log:
        return None
    return next(job for index, job in enumerate(jobs) if index not in pictures)


def _failure(job: EngravingJob, log: str) -> EngravingFailed:
    """The refusal in a teacher's words; the engraver's own words go along as a note."""
    known = next((m for m in engraving_table().messages if m.log in log.lower()), None)
    found = _POSITIONED.search(log)
    said = found[2] if found else (log.splitlines() or ["no picture was made"])[0]
    words = known.words if known else f"the music engraver says: {said}"
    error = EngravingFailed(
        f"'{job.name}' cannot be engraved: {words}",
        job.place,
        known.hint if known else "this is a fault of the program; please report it",
    )
    error.add_note(log)
    return error


def _command() -> list[str]:
    return [
        _executable(),
        "-dbackend=cairo",
        "-dseparate-page-formats=svg",
        "-dno-point-and-click",
        f"-dinclude-settings={templates_folder('lilypond') / 'batch.ily'}",
        "--loglevel=WARNING",
        "-",
    ]


@cache
def _executable() -> str:
    try:
        import lilypond

        path = str(lilypond.executable())
    except (ImportError, OSError) as error:
        raise ToolMissing("the music engraver is not installed", hint="pip install lilypond==2.25.12") from error
    if not Path(path).exists():
        raise ToolMissing("the music engraver is not installed", hint="pip install lilypond==2.25.12")
    return path


def _environment() -> dict[str, str]:
    """The surroundings of the process: its own fonts alone, its log in English, memory tidied when we say so."""
    kept = {name: value for name, value in os.environ.items() if not name.startswith(("LILYPOND", "LC_", "LANG"))}
    return kept | {
        "FONTCONFIG_FILE": str(templates_folder("lilypond") / "fonts.conf"),
        "GC_DONT_GC": "1",
        "LC_ALL": "C",
    }
