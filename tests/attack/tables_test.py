"""Mutants of real tables: whatever is broken in them, the program reads the rest or says why not."""
import os
import pathlib
import random
import unittest

import program
from program import Folder, rounds

real = pathlib.Path(os.environ.get("LOOMGRAFT_REAL", program.root / "../shared/real"))


def originals():
    folders = [program.root / "tests/data", real / "pins"]
    files = [file for folder in folders if folder.is_dir() for file in sorted(folder.iterdir())]
    return [file for file in files if file.is_file() and file.stat().st_size < 300_000 and file.suffix != ".py"]


def mutant(draw, data):
    data = bytearray(data)
    for _ in range(draw.randrange(1, 6)):
        at, size = draw.randrange(len(data) + 1), draw.randrange(1, 200)
        kind = draw.randrange(5)
        if kind == 0:
            del data[at:at + size]
        elif kind == 1:
            data[at:at] = data[at:at + size] * draw.randrange(1, 20)
        elif kind == 2:
            data[at:at] = draw.randbytes(size)
        elif kind == 3:
            del data[at:]
        elif data:
            data[at % len(data)] ^= 1 << draw.randrange(8)
    return bytes(data)


class Mutants(unittest.TestCase):
    def test_mutants_of_tables(self):
        draw = random.Random(7)
        files = originals()
        self.assertTrue(files)
        with Folder() as folder:
            for number in range(rounds(80, 2000)):
                original = files[number % len(files)]
                broken = folder / f"mutant{original.suffix}"
                broken.write_bytes(mutant(draw, original.read_bytes()))
                done = program.run("read", broken, "--json")
                self.assertIn(done.returncode, (0, 1, 2), f"{number} of {original.name}: {done.stderr[-400:]}")
