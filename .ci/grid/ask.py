"""What the grids share: asking the program for a list, and telling the largest differences."""
import json
import subprocess
import sys
import time

began = time.time()


def ask(kind, questions):
    """Returns the answers to a list of questions, in their order."""
    done = subprocess.run([sys.argv[1], "calc", kind], input=json.dumps(questions), capture_output=True, text=True, check=True)
    answers = json.loads(done.stdout)
    assert len(answers) == len(questions)
    return answers


class Largest:
    """The largest difference of a quantity, where it is, and the bound it must hold."""

    def __init__(self, name, unit, bound, relative=False):
        self.name, self.unit, self.bound, self.relative = name, unit, bound, relative
        self.worst, self.where, self.count = 0.0, "", 0

    def add(self, got, want, where):
        self.count += 1
        difference = float("inf") if got is None else abs(got - want) / (abs(want) if self.relative else 1)
        if not difference <= self.worst:
            self.worst, self.where = difference, where

    def tell(self):
        held = self.count > 0 and self.worst <= self.bound
        print(f"{'ok' if held else 'BEYOND':7}{self.name}: largest difference {self.worst:.2g} {self.unit}"
              f" at {self.where} of {self.count} states, bound {self.bound:g}")
        return held


def finish(library, differences):
    """Prints all and ends the script."""
    print(f"against {library}, {time.time() - began:.0f} s")
    sys.exit(0 if all([d.tell() for d in differences]) else 1)
