"""The pictures of the README, taken anew: python -m tests.pages.readme_pictures [NAME ...]

A service of its own on loopback, with a small invented fleet; Debian's chromium takes the pages, `pdftoppm` (Debian's
poppler-utils) the reports. Look at each before it is kept.
"""

import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

from playwright.sync_api import Browser, Page, sync_playwright

from tests.api.office import condition_document, vessel_document
from tests.pages.conftest import CHROMIUM, FLAGS, running_harbour
from tests.pages.harbour import Harbour

PICTURES = Path(__file__).parents[2] / ".pictures"
NOTICES_ARE_OLD_S = 20
"""So that the newest conditions have been waiting for a little while."""

FLEET = {
    # name: condition, from, to, in force, decision
    "Grimsetter": ("timber-loll", "Farhaven", "Estmouth", True, None),
    "Brannholm": ("silos-weather-fails", "Sandrock Terminal", "Norrhaven", True, None),
    "Dunmarra": ("everything-slack", "Outer Bank", "Farhaven", True, "accepted"),
    "Invercroe": ("over-full-tank", "Estmouth", "Sandrock Terminal", False, None),
    "Garrowby": ("departure-homogeneous", "Norrhaven", "Farhaven", True, None),
    "Fennick": ("departure-homogeneous", "Farhaven", "Outer Bank", False, "returned"),
    "Tolvane": ("ballast-departure", "Estmouth", "Norrhaven", True, "accepted"),
    "Selbrook": ("ballast-departure", "Farhaven", "Estmouth", True, "accepted"),
    "Ardwell Rock": ("ballast-departure", "Outer Bank", "Estmouth", True, "accepted"),
}
NOTES = {"accepted": "As checked.", "returned": "Which water?"}

DESK = {"width": 1280, "height": 900}
PHONE = {"width": 390, "height": 844}


class Studio:
    """The service with its fleet, a browser, and the key of a superintendent."""

    def __init__(self, harbour: Harbour, browser: Browser) -> None:
        self.harbour, self.browser = harbour, browser
        self.administrator = harbour.bearer("administrator")
        wanted = {"name": "Shore superintendent", "role": "reviewer"}
        made = harbour.http.post("/v1/keys", json=wanted, headers=self.administrator)
        self.key = made.json()["token"]
        self.conditions = {name: self._ship(name, *told) for name, told in FLEET.items()}
        self.doubted = self._doubted_ship()
        self.slack = harbour.accepted_then_changed()
        self.voyage = harbour.enter_plan()

    def _ship(
        self, name: str, condition: str, start: str, end: str, sails: bool, decision: str | None
    ) -> str:
        vessel = {**vessel_document(), "name": name}
        vessel.pop("imo_number", None)
        vessel["particulars"].pop("imo_number", None)
        post = self.harbour.http.post
        ship = post("/v1/vessels", json=vessel, headers=self.administrator).json()["vessel"]
        document = condition_document(condition)
        document["voyage"] = {**document.get("voyage", {}), "from": start, "to": end}
        path, reason = f"/v1/vessels/{ship}/conditions", {"reason": "Loading finished"}
        answer = post(path, json=document, headers=self.administrator, params=reason)
        assert answer.status_code == 201, answer.text
        id: str = answer.json()["condition"]
        if sails:
            self.harbour.set_state(id, "in_force", "administrator")
        if decision is not None:
            self.harbour.review(id, 1, decision, NOTES[decision])
        return id

    def _doubted_ship(self) -> str:
        """One whose booklet was typed in with two digits of a lever exchanged."""
        vessel = {**vessel_document(), "name": "Hollin Bay"}
        vessel.pop("imo_number", None)
        vessel["particulars"].pop("imo_number", None)
        vessel["cross_curves"]["levers"][16][4] += 0.27
        made = self.harbour.http.post("/v1/vessels", json=vessel, headers=self.administrator)
        assert made.status_code == 201, made.text
        id: str = made.json()["vessel"]
        return id

    def take(
        self,
        name: str,
        path: str,
        size: dict[str, int] = DESK,
        dark: bool = False,
        first: Callable[[Page], object] | None = None,
        key: str | None = None,
    ) -> None:
        """A page as the superintendent sees it, or whose key is given, after `first` has been done there."""
        scheme = "dark" if dark else "light"
        context = self.browser.new_context(
            base_url=self.harbour.address,
            viewport=size,
            color_scheme=scheme,  # type: ignore[arg-type]
        )
        page = context.new_page()
        page.goto("/sign-in?to=/notices")
        page.get_by_label("Key").fill(key or self.key)
        page.get_by_role("button", name="Sign in").click()
        page.wait_for_url("**/notices")
        page.goto(path)
        page.wait_for_load_state("networkidle")
        if first is not None:
            first(page)
        page.screenshot(path=PICTURES / f"{name}.png")
        context.close()

    def take_report(self, name: str, path: str) -> None:
        """The first sheet of a report."""
        answer = self.harbour.http.get(path, headers=self.administrator)
        assert answer.status_code == 200, answer.text
        with tempfile.TemporaryDirectory() as folder:
            (sheet := Path(folder) / "report.pdf").write_bytes(answer.content)
            command = ["pdftoppm", "-png", "-r", "100", "-singlefile", str(sheet), str(PICTURES / name)]
            subprocess.run(command, check=True, timeout=60)

    def everything(self) -> dict[str, Callable[[], None]]:
        """Each picture by its name."""
        voyage = f"/v1/conditions/{self.voyage}/revisions/1/report.pdf"
        return {
            "fleet": lambda: self.take("fleet", "/"),
            "condition": lambda: self.take("condition", f"/conditions/{self.conditions['Grimsetter']}"),
            "condition-phone-dark": lambda: self.take(
                "condition-phone-dark", f"/conditions/{self.slack}", PHONE, dark=True
            ),
            "comparison": lambda: self.take("comparison", f"/conditions/{self.slack}/comparison"),
            "sheet": lambda: self.take(
                "sheet", f"/conditions/{self.slack}/edit", first=_fuel_typed, key=self.harbour.keys["ship"]
            ),
            "vessel-tables": lambda: self.take(
                "vessel-tables", f"/vessels/{self.doubted}/tables/cross-curves"
            ),
            "vcg-limits": lambda: self.take(
                "vcg-limits",
                "/vessels/halvenmoor/vcg-limits",
                {"width": 1280, "height": 1560},
                first=_worked_out,
            ),
            "voyage": lambda: self.take("voyage", f"/conditions/{self.voyage}/revisions/1/voyage"),
            "report": lambda: self.take_report(
                "report", f"/v1/conditions/{self.slack}/revisions/2/report.pdf"
            ),
            "voyage-report": lambda: self.take_report("voyage-report", f"{voyage}?part=plan"),
        }


def _worked_out(page: Page) -> None:
    page.get_by_role("button", name="Work it out").click()
    page.get_by_text("What governs each point").wait_for()


def _fuel_typed(page: Page) -> None:
    page.get_by_label("No. 5 fuel oil tank port, % full").fill("35")
    page.keyboard.press("Tab")
    page.wait_for_timeout(1500)


def main() -> None:
    """Take those named, or all."""
    with (
        tempfile.TemporaryDirectory() as folder,
        running_harbour(f"sqlite:///{folder}/records.db") as harbour,
        sync_playwright() as playwright,
    ):
        browser = playwright.chromium.launch(executable_path=str(CHROMIUM), args=FLAGS)
        pictures = Studio(harbour, browser).everything()
        time.sleep(NOTICES_ARE_OLD_S)
        for name in sys.argv[1:] or pictures:
            pictures[name]()
            print(name, flush=True)
        browser.close()


if __name__ == "__main__":
    main()
