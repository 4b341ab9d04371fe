"""One target under the fuzzer: ``python drive.py TARGET REPORT [options of libFuzzer] CORPUS``.

What breaks is noted in the report, a line of JSON for each cause, with its input beside it; the run goes on.
"""

import json
import sys
import traceback
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1] / "support"))
sys.path.insert(0, str(Path(__file__).parents[1]))

import atheris

with atheris.instrument_imports(include=["passport"]):  # without this the fuzzer is blind
    from fuzzing import targets


class Watched:
    """A target whose failures are noted by cause."""

    def __init__(self, name: str, report: Path) -> None:
        self.work = targets.TARGETS.get(name, targets.SELF_TEST)
        self.report, self.causes = report, set[str]()

    def __call__(self, data: bytes) -> None:
        """One case."""
        try:
            self.work(data)
        except Exception as error:
            self._note(error, data)

    def _note(self, error: BaseException, data: bytes) -> None:
        steps = [f for f in traceback.extract_tb(error.__traceback__) if "/passport/" in f.filename]
        where = f"{Path(steps[-1].filename).name}:{steps[-1].lineno}" if steps else ""
        cause = f"{type(error).__name__} at {where}" if where else f"{type(error).__name__}: {str(error)[:40]}"
        if cause in self.causes:
            return
        self.causes.add(cause)
        kept = self.report.with_name(f"{self.report.stem}-{len(self.causes)}.input")
        kept.write_bytes(data)
        told = {"cause": cause, "what": str(error)[:300], "input": str(kept)}
        with self.report.open("a", encoding="utf-8") as file:
            file.write(json.dumps(told) + "\n")


if __name__ == "__main__":
    name, report, *options = sys.argv[1:]
    atheris.Setup([sys.argv[0], *options], Watched(name, Path(report)))
    atheris.Fuzz()
