"""The Chromium that is installed, and a page in it with everything that the page tried to do.

OVERCOAT_CHROMIUM names a browser elsewhere.
"""

import os
import shutil
from pathlib import Path

WIDTHS = {"phone": 390, "desktop": 1280}
QUIET = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]


def chromium() -> str | None:
    named = os.environ.get("OVERCOAT_CHROMIUM")
    return named or next(
        filter(None, map(shutil.which, ("chromium", "chromium-browser", "google-chrome", "chrome"))), None
    )


class Opened:
    """A page in the browser, with everything that it tried to fetch, say or run."""

    def __init__(self, browser, path: Path, width: int) -> None:
        self.seen: list[str] = []
        self.page = browser.new_page(viewport={"width": width, "height": 844})
        self.page.on("request", lambda request: self.seen.append(f"request {request.url}"))
        self.page.on("dialog", lambda dialog: (self.seen.append("dialog"), dialog.dismiss()))
        self.page.on("console", lambda message: self.seen.append(f"console {message.text}"))
        self.page.on("pageerror", lambda error: self.seen.append(f"error {error}"))
        self.page.goto(path.as_uri())
        self.seen.remove(f"request {path.as_uri()}")

    def violations(self) -> list[str]:
        from axe_playwright_python.sync_playwright import Axe

        found = Axe().run(self.page).response["violations"]
        return [f"{rule['id']}: {node['html'][:200]}" for rule in found for node in rule["nodes"]]

    def is_too_wide(self) -> bool:
        return self.page.evaluate("document.documentElement.scrollWidth > window.innerWidth")
