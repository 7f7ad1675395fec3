"""A program under test: started, asked, watched and ended. For the scripts of this folder."""

import http.client
import os
import signal
import subprocess
import sys
import tempfile
import time

KIT = (
    b'{"board":"tarn","processors":["tarn-8","tarn-8"],'
    b'"kit":[{"module":"ERW-3R16-2x4","quantity":16}]}'
)


def load():
    """The load of the machine, to stand beside every figure."""
    return "load of the machine %.2f" % os.getloadavg()[0]


class Served:
    """`PROGRAM serve` on a port of its own, ended with the block."""

    def __init__(self, program, port, *options, wrap=()):
        self.port = port
        self.log = tempfile.NamedTemporaryFile("w+", suffix=".log")
        command = [*wrap, program, "serve", "--port", str(port), "--grace", "0", *options]
        self.process = subprocess.Popen(command, stdout=self.log, stderr=self.log)
        for _ in range(200):
            if self.process.poll() is not None:
                break
            try:
                if self.ask("GET", "/health/ready")[0] == 200:
                    return
            except OSError:
                pass
            time.sleep(0.05)
        self.process.kill()
        sys.exit("the program does not serve: " + open(self.log.name).read()[-2000:])

    def __enter__(self):
        return self

    def __exit__(self, *_):
        if self.alive():
            self.process.send_signal(signal.SIGTERM)
            try:
                self.process.wait(15)
            except subprocess.TimeoutExpired:
                self.process.kill()
        return False

    def connect(self, timeout=30):
        return http.client.HTTPConnection("127.0.0.1", self.port, timeout=timeout)

    def ask(self, method, path, body=None, kind="application/json", connection=None):
        """Status, headers and body of an answer."""
        own = connection or self.connect()
        own.request(method, path, body, {"content-type": kind} if body is not None else {})
        answer = own.getresponse()
        content = answer.read()
        if connection is None:
            own.close()
        return answer.status, dict(answer.getheaders()), content

    def alive(self):
        return self.process.poll() is None

    def status(self, name):
        """A figure of the process in KiB, such as `VmRSS` or `VmHWM`."""
        with open(f"/proc/{self.process.pid}/status") as lines:
            for line in lines:
                if line.startswith(name + ":"):
                    return int(line.split()[1])
        return 0

    def processor_seconds(self):
        with open(f"/proc/{self.process.pid}/stat") as stat:
            fields = stat.read().rsplit(")", 1)[1].split()
        return (int(fields[11]) + int(fields[12])) / os.sysconf("SC_CLK_TCK")

    def metric(self, name):
        """The sum of a metric's series."""
        text = self.ask("GET", "/metrics")[2].decode()
        values = [
            float(line.rsplit(" ", 1)[1])
            for line in text.splitlines()
            if line.startswith(name) and not line.startswith("#")
        ]
        return sum(values)


def percentile(times, share):
    times = sorted(times)
    return times[min(len(times) - 1, int(len(times) * share))]
