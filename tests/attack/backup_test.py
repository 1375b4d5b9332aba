"""Backups put back, and logs that belong to other files."""
import os
import shutil
import unittest

import program
from program import Folder, Sender, Server, new_graft, readings_of


def fill(server, first, count):
    sender = Sender(server, "van", first, count)
    sender.join()
    assert sender.refused is None
    return sender.acknowledged


def copy_over(backup, file):
    shutil.copyfile(backup, file)


def move_over(backup, file):
    moved = file.with_suffix(".moved")
    shutil.copyfile(backup, moved)
    os.replace(moved, file)


def remove_and_copy(backup, file):
    file.unlink()
    shutil.copyfile(backup, file)


class Backups(unittest.TestCase):
    def setUp(self):
        folder = Folder()
        self.addCleanup(folder.__exit__)
        self.folder = folder.__enter__()
        self.file = self.folder / "van.graft"
        self.backup = self.folder / "van.backup"
        new_graft(self.file)
        with Server(self.folder, "--no-copies") as server:
            self.old = fill(server, 0, 30)
        done = program.run("backup", self.file, "-o", self.backup)
        self.assertEqual(done.returncode, 0, done.stderr)

    def expect(self, readings, file=None):
        self.assertEqual(readings_of(file or self.file), readings)

    def after_a_kill(self, put):
        server = Server(self.folder, "--no-copies")
        fill(server, 100, 60)
        server.kill()
        put(self.backup, self.file)
        self.expect(self.old)
        self.assertTrue(list(self.folder.glob("van.graft.log-*")), "the log is kept")
        with Server(self.folder, "--no-copies") as again:
            added = fill(again, 500, 5)
        self.expect(self.old + added)

    def test_copied_over_after_a_kill(self):
        self.after_a_kill(copy_over)

    def test_moved_over_after_a_kill(self):
        self.after_a_kill(move_over)

    def test_copied_after_removing_after_a_kill(self):
        self.after_a_kill(remove_and_copy)

    # Nothing is acknowledged that is in neither file; what is acknowledged afterwards is in the new one.
    def while_served(self, put):
        with Server(self.folder, "--no-copies") as server:
            fill(server, 100, 60)
            put(self.backup, self.file)
            later = []
            numbers = iter(range(500, 2000))

            def taken():
                number = next(numbers)
                if server.send("van", number) in (200, 201):
                    later.append(f"r{number}")
                return len(later) >= 20
            program.until(taken)
            self.assertTrue(later, "the server goes on with the file that is there now")
        self.expect(self.old + later)

    def test_copied_over_while_served(self):
        self.while_served(copy_over)

    def test_moved_over_while_served(self):
        self.while_served(move_over)

    def test_copied_after_removing_while_served(self):
        self.while_served(remove_and_copy)

    def test_restored_by_command_while_served(self):
        with Server(self.folder, "--no-copies") as server:
            fill(server, 100, 20)
            done = program.run("restore", self.file, self.backup)
            self.assertEqual(done.returncode, 0, done.stderr)
            self.assertTrue(program.until(lambda: server.send("van", 500) in (200, 201)))
            added = ["r500"] + fill(server, 501, 4)
        self.expect(self.old + added)
        kept = list((self.folder / "backups/van").iterdir())
        self.expect(self.old + [f"r{n}" for n in range(100, 120)], kept[0])

    def test_put_back_on_the_page(self):
        with Server(self.folder, "--no-copies") as server:
            status, copy = server.call("POST", "/api/grafts/van/copies")
            self.assertEqual(status, 201)
            more = fill(server, 100, 20)
            status, answer = server.call("POST", f"/api/grafts/van/copies/{copy['name']}/put_back")
            self.assertEqual(status, 200, answer)
            added = fill(server, 500, 5)
            copies = server.call("GET", "/api/grafts/van/copies")[1]["copies"]
            self.assertEqual(len(copies), 2)
            whole = server.call("GET", f"/api/grafts/van/copies/{copies[0]['name']}")[1]
        self.expect(self.old + added)
        fetched = self.folder / "fetched.graft"
        fetched.write_bytes(whole)
        self.expect(self.old + more, fetched)

    def test_a_plain_copy_of_an_idle_file_is_whole(self):
        with Server(self.folder, "--no-copies") as server:
            more = fill(server, 100, 20)
            copy = self.folder / "copy.graft"
            shutil.copyfile(self.file, copy)
            if readings_of(copy) != self.old + more:
                self.assertIn("without its log", program.run("history", copy).stderr)
            log = self.folder / "van.graft-wal"
            self.assertTrue(program.until(lambda: log.stat().st_size == 0))
            shutil.copyfile(self.file, copy)
            self.expect(self.old + more, copy)
            self.assertNotIn("log", program.run("history", copy).stderr)


class Orphans(unittest.TestCase):
    """A log that is not the file's own: never used, always kept."""

    def setUp(self):
        folder = Folder()
        self.addCleanup(folder.__exit__)
        self.folder = folder.__enter__()
        self.file = self.folder / "van.graft"
        new_graft(self.file)
        server = Server(self.folder, "--no-copies")
        self.killed = fill(server, 0, 40)
        server.kill()
        self.log = self.folder / "van.graft-wal"
        self.index = self.folder / "van.graft-shm"
        self.assertGreater(self.log.stat().st_size, 0)

    def aside(self, name="van"):
        return [file for file in self.folder.glob(name + ".graft.log-*")]

    def test_a_new_file_under_the_old_name(self):
        self.file.unlink()
        new_graft(self.file)
        self.assertEqual(readings_of(self.file), [])
        self.assertTrue(self.aside())

    def test_another_file_under_the_old_name(self):
        other = self.folder / "other.graft"
        new_graft(other)
        os.replace(other, self.file)
        self.assertEqual(readings_of(self.file), [])
        self.assertTrue(self.aside())

    def test_a_log_beside_another_file(self):
        other = self.folder / "other.graft"
        new_graft(other)
        shutil.copyfile(self.log, self.folder / "other.graft-wal")
        self.assertEqual(readings_of(other), [])
        self.assertTrue(self.aside("other"))
        self.assertEqual(readings_of(self.file), self.killed, "its own log is used")

    def test_a_log_of_an_earlier_time(self):
        early = self.log.read_bytes()
        with Server(self.folder, "--no-copies") as server:
            more = fill(server, 100, 40)
        self.log.write_bytes(early)
        self.assertEqual(readings_of(self.file), self.killed + more)
        self.assertTrue(self.aside())

    def test_made_anew_while_served(self):
        with Server(self.folder, "--no-copies") as server:
            fill(server, 100, 10)
            self.file.unlink()
            status, _ = server.call("POST", "/api/grafts", {"name": "van", "title": "new"})
            self.assertEqual(status, 201)
            self.assertEqual(server.call("GET", "/api/grafts/van/readings")[1]["readings"], [])
            added = fill(server, 500, 5)
        self.assertEqual(readings_of(self.file), added)

    def test_a_copy_that_lost_its_log(self):
        copy = self.folder / "copy.graft"
        shutil.copyfile(self.file, copy)
        self.assertIn("without its log", program.run("history", copy).stderr)
        shutil.copyfile(self.log, self.folder / "copy.graft-wal")
        self.assertEqual(readings_of(copy), self.killed)


if __name__ == "__main__":
    unittest.main()
