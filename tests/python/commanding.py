"""The command as a person calls it: in a process of its own."""

from __future__ import annotations

import os
import select
import subprocess
import sys
import time


def ran(*words: object, **environment: str) -> subprocess.CompletedProcess[str]:
    """`python -m overcoat` with both streams piped."""
    return subprocess.run(
        [sys.executable, "-W", "error", "-m", "overcoat", *map(str, words)],
        capture_output=True,
        encoding="utf-8",
        env={**os.environ, "PYTHONUTF8": "1", **environment},
        timeout=300,
    )


def succeeds(*words: object) -> str:
    """Standard output of a command that succeeds."""
    done = ran(*words)
    assert done.returncode == 0, done.stderr
    return done.stdout


def refuses(*words: object) -> str:
    """Standard error of a refusal: exit code 2, one line, nothing on standard output."""
    done = ran(*words)
    assert (done.returncode, done.stdout) == (2, ""), done.stderr
    assert done.stderr.startswith("Error: ") and done.stderr.count("\n") == 1, done.stderr
    return done.stderr


def in_a_terminal(words: list[object], typed: str = "", seconds: float = 120, **environment: str) -> str:
    """What a command that succeeds shows in a terminal where this is typed; one that waits for more fails."""
    import pty

    ours, theirs = pty.openpty()
    inherited = {key: value for key, value in os.environ.items() if key != "NO_COLOR"}
    running = subprocess.Popen(
        [sys.executable, "-m", "overcoat", *map(str, words)],
        stdin=theirs,
        stdout=theirs,
        stderr=theirs,
        env={**inherited, **environment},
    )
    os.close(theirs)
    os.write(ours, typed.encode())
    seen, deadline = b"", time.monotonic() + seconds
    try:
        while select.select([ours], [], [], max(0.0, deadline - time.monotonic()))[0]:
            chunk = os.read(ours, 65536)
            if not chunk:
                break
            seen += chunk
    except OSError:  # the other end is closed
        pass
    finally:
        os.close(ours)
    shown = seen.decode("utf-8", "replace")
    try:
        code = running.wait(timeout=max(5.0, deadline - time.monotonic()))
    except subprocess.TimeoutExpired:
        running.kill()
        running.wait()
        raise AssertionError(f"still waiting after {seconds} s: {shown[-2000:]}") from None
    assert code == 0, shown[-2000:]
    return shown
