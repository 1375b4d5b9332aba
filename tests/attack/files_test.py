"""Kills, broken uploads, full disks, two servers, damaged files."""
import os
import pathlib
import random
import resource
import socket
import subprocess
import unittest

import program
from program import Folder, Sender, Server, new_graft, readings_of, rounds

photo = b"\xff\xd8\xff" + bytes(range(256)) * 6000  # 1.5 MB


class Files(unittest.TestCase):
    def expect_all(self, file, acknowledged):
        stored = readings_of(file)
        self.assertIsNotNone(stored, program.run("check", file).stderr)
        self.assertEqual(len(stored), len(set(stored)), "nothing is stored twice")
        self.assertEqual(set(acknowledged) - set(stored), set(), "nothing that was acknowledged is lost")
        return stored

    def test_kills(self):
        draw = random.Random(1)
        with Folder() as folder:
            file = folder / "van.graft"
            new_graft(file)
            acknowledged, first = [], 0
            for _ in range(rounds(8, 60)):
                server = Server(folder)
                sender = Sender(server, "van", first)
                wanted = draw.randrange(1, 60)
                program.until(lambda: len(sender.acknowledged) >= wanted)
                server.kill()
                sender.join()
                acknowledged += sender.acknowledged
                first = sender.next
            self.assertGreater(len(acknowledged), 50)
            self.expect_all(file, acknowledged)
            self.assertNotIn("copy-incomplete", program.run("check", file).stderr)

    def test_killed_uploads(self):
        draw = random.Random(2)
        with Folder() as folder:
            file = folder / "van.graft"
            new_graft(file)
            for number in range(rounds(3, 20)):
                server = Server(folder)
                where = f"/api/grafts/van/photos?id=p{number}&subject=s&name=a.jpg"
                head = f"POST {where} HTTP/1.1\r\nHost: 127.0.0.1:{server.port}\r\nContent-Type: image/jpeg\r\n"
                upload = head.encode() + f"Content-Length: {len(photo)}\r\n\r\n".encode() + photo
                with socket.create_connection(("127.0.0.1", server.port)) as connection:
                    connection.sendall(upload[:draw.randrange(200, len(upload) + 1)])
                    server.kill()
                with Server(folder) as again:
                    status, _ = again.call("POST", where, photo, "image/jpeg")
                    self.assertIn(status, (200, 201))
                    status, stored = again.call("GET", f"/api/grafts/van/photos/p{number}")
                    self.assertEqual((status, stored == photo), (200, True))

    def test_a_file_that_may_not_grow(self):
        def limit():
            import signal
            signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
            resource.setrlimit(resource.RLIMIT_FSIZE, (400_000, 400_000))
        with Folder() as folder:
            file = folder / "van.graft"
            new_graft(file)
            with Server(folder, "--no-copies", preexec_fn=limit) as server:
                sender = Sender(server, "van", 0, 20_000)
                sender.join()
            self.assertIn(sender.refused, (500, 507))
            self.expect_all(file, sender.acknowledged)

    @unittest.skipUnless(hasattr(os, "geteuid") and os.geteuid() == 0, "mounting needs rights")
    def test_a_full_disk(self):
        with Folder() as folder:
            if subprocess.run(["mount", "-t", "tmpfs", "-o", "size=700k", "none", folder],
                              capture_output=True).returncode != 0:
                self.skipTest("mounting is not allowed here")
            try:
                file = folder / "van.graft"
                new_graft(file)
                with Server(folder, "--no-copies") as server:
                    sender = Sender(server, "van", 0, 20_000)
                    sender.join()
                    self.assertIn(sender.refused, (500, 507))
                    self.assertEqual(server.call("GET", "/api/grafts/van")[0], 200)
                self.expect_all(file, sender.acknowledged)
            finally:
                subprocess.run(["umount", folder])

    def test_two_servers(self):
        with Folder() as folder:
            file = folder / "van.graft"
            new_graft(file)
            with Server(folder) as one, Server(folder) as two:
                senders = [Sender(one, "van", 0, 150), Sender(two, "van", 1000, 150)]
                for sender in senders:
                    sender.join()
                self.assertEqual([sender.refused for sender in senders], [None, None])
            self.expect_all(file, senders[0].acknowledged + senders[1].acknowledged)

    def test_damaged_files(self):
        draw = random.Random(3)
        with Folder() as folder:
            file = folder / "van.graft"
            new_graft(file)
            with Server(folder, "--no-copies") as server:
                sender = Sender(server, "van", 0, 120)
                sender.join()
                server.call("POST", "/api/grafts/van/photos?id=p&subject=s&name=a.jpg", photo[:50_000], "image/jpeg")
            whole = file.read_bytes()
            truth = program.run("export", file).stdout
            damaged, seen = folder / "damaged.graft", 0
            for number in range(rounds(12, 60)):
                bytes_now = bytearray(whole)
                at = draw.randrange(len(whole))
                if number % 3 == 0:
                    bytes_now[at] ^= 1 << draw.randrange(8)
                elif number % 3 == 1:
                    del bytes_now[at:]
                else:
                    bytes_now[at // 4096 * 4096:at // 4096 * 4096 + 4096] = bytes(4096)
                damaged.write_bytes(bytes_now)
                opened = program.run("export", damaged)
                seen += opened.returncode != 0
                if opened.returncode == 0:
                    self.assertEqual(opened.stdout, truth, f"damage at {at} is not seen")
                saved = folder / "saved.graft"
                program.run("recover", damaged, "-o", saved)
                if saved.exists():
                    self.assertLessEqual(set(readings_of(saved)), set(sender.acknowledged))
                saved.unlink(missing_ok=True)
            self.assertGreater(seen, rounds(5, 30))


if __name__ == "__main__":
    unittest.main()
