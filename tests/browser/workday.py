"""A person at the shop's PC and the bench: the whole chain through pages, by clicks and keys."""

import re
from dataclasses import dataclass, field

from playwright.sync_api import Page, Request, expect


@dataclass
class Workday:
    """Goes through the app as its users do. `sent` counts the forms that were sent."""

    page: Page
    sent: list[str] = field(default_factory=list)

    def __post_init__(self) -> None:
        self.page.on(
            "request",
            lambda request: self.sent.append(request.url) if _is_form(request) else None,
        )

    def press(self, button: str) -> None:
        self.page.get_by_role("button", name=button).first.click()
        self.page.wait_for_load_state()

    def follow(self, link: str) -> None:
        self.page.get_by_role("link", name=link, exact=True).first.click()
        self.page.wait_for_load_state()

    def fill(self, label: str, text: str) -> None:
        self.page.get_by_label(label, exact=True).first.fill(text)

    def choose(self, label: str, value: str) -> None:
        self.page.get_by_label(label).first.select_option(value)

    def find(self, words: str) -> None:
        """By the search box: a serial or a code leads straight there."""
        self.page.keyboard.press("/")
        self.page.keyboard.type(words)
        self.page.keyboard.press("Enter")
        self.page.wait_for_load_state()

    # Office

    def set_up(self, name: str, person: str, initials: str) -> None:
        self.page.goto("/")
        self.page.get_by_label("Name of the workshop").fill(name)
        self.page.get_by_label("Your name").fill(person)
        self.page.get_by_label("Your initials").fill(initials)
        self.press("Set up the workshop")

    def new_job(
        self, customer: str, title: str, setting: str, volts: str, polarity: str, units: str
    ) -> None:
        self.follow("Begin a job")
        self.page.get_by_label("Customer").fill(customer)
        self.page.get_by_label("Title").fill(title)
        self.choose("Where it works", setting)
        self.choose("Nominal voltage", volts)
        self.choose("Polarity", polarity)
        self.page.get_by_label("How many of it").fill(units)
        self.press("Begin the job")

    def paste(self, what: str, text: str) -> None:
        """A list through the preview."""
        self.follow("Needs")
        self.follow("Paste or upload a list")
        self.choose("The list holds", what)
        self.page.get_by_label("Paste it here").fill(text)
        self.press("Look at it first")
        expect(self.page.get_by_text("nothing is written yet")).to_be_visible()
        self.press("Import these rows")

    def propose(self) -> None:
        self.follow("Needs")
        self.press("Save, and propose the loom")
        self.press("Take this proposal")

    def quote(self) -> None:
        self.follow("Price")
        self.follow("Check and issue")
        self.page.locator("#seen").check()
        self.press("Issue the quote")

    def accept(self, by_whom: str) -> None:
        self.page.get_by_label("Accepted by").first.fill(by_whom)
        self.press("Write down the acceptance")

    def sign_off(self) -> None:
        self.follow("Wires")
        self.follow("Sign off for the bench")
        self.page.get_by_role("button", name=re.compile("^Sign off revision")).click()
        self.page.wait_for_load_state()

    def pdf(self, link: str) -> bytes:
        """What the link leads to; the browser would show it in a viewer of its own."""
        href = self.page.get_by_role("link", name=link).first.get_attribute("href")
        answer = self.page.request.get(href or "")
        assert answer.headers["content-type"] == "application/pdf"
        return answer.body()

    # Bench

    def start_building(self, depth: str) -> None:
        self.follow("Build")
        self.choose("How finely the bench ticks", depth)
        self.press("Start building")

    def set_crimps_up(self, instrument: str) -> int:
        """Each tool of the open unit, with its first-offs; returns how many."""
        self.follow("crimp set-ups")
        done = 0
        waiting = self.page.locator(".crimp-groups a", has_text="no set-up yet")
        while waiting.count():
            done += 1
            waiting.first.click()
            self.page.wait_for_load_state()
            self.page.get_by_label("Crimp tool").fill("tool 3")
            self.page.get_by_label("Wire lot").fill(f"R{done:03d}")
            self._measure_crimps(instrument)
            self.press("Save the set-up")
            expect(self.page.get_by_role("main")).to_contain_text("ready to crimp")
            self.follow("All set-ups")
        self.page.locator(".bench-top a").click()
        self.page.wait_for_load_state()
        return done

    def measure_last(self, instrument: str) -> int:
        """The last crimps of every tool that wants them; returns how many there were."""
        self.follow("crimp set-ups")
        done = 0
        waiting = self.page.locator(".crimp-groups a", has_text="measure the last")
        while waiting.count():
            done += 1
            waiting.first.click()
            self.page.wait_for_load_state()
            self._measure_crimps(instrument)
            self.press("Save the last measurements")
            self.follow("All set-ups")
        self.page.locator(".bench-top a").click()
        self.page.wait_for_load_state()
        return done

    def _measure_crimps(self, instrument: str) -> None:
        """A good height or pull into every field in view."""
        for part in self.page.locator("fieldset.samples:visible").all():
            limit = part.locator(".limit b").inner_text()
            for one in part.locator(".three .field").all():
                one.locator("input").fill(good_value(limit))
                verdict = one.locator("select")
                if verdict.count():
                    verdict.select_option("pass")
            chooser = part.get_by_label("Measured with")
            label = chooser.locator("option", has_text=instrument).first.inner_text()
            chooser.select_option(label=label)

    def make(self) -> int:
        """Ticks all of the open unit, end by end, until nothing of it is left; returns taps."""
        taps = 0
        left = self.page.locator("li", has_text="not done:")
        reached = self.page.get_by_role("heading", name="On to test")
        expect(reached).to_be_visible()
        while left.count():
            self.follow("Bench list")
            taken = self._go_through()
            assert taken, "nothing is left to tick, and something is not done"
            taps += taken
            expect(reached).to_be_visible()
        return taps

    def _go_through(self) -> int:
        """Once through the bench list, ticking whatever waits for nothing else."""
        taps = 0
        part = self.page.locator("#bench-part")
        ready = part.locator("button[data-step][data-state=todo]")
        while True:
            while ready.count():
                uid = ready.first.get_attribute("data-step")
                step = part.locator(f"button[data-step='{uid}']")
                step.click()
                expect(step).to_have_attribute("data-state", "done")
                taps += 1
            on = part.locator("a[data-on]")
            key = part.get_attribute("data-key")
            last = on.get_attribute("data-turn") is None
            if last:
                expect(self.page.locator("[data-saved]")).to_contain_text("saved")
            on.click()
            if last:
                self.page.wait_for_load_state()
                return taps
            expect(part).not_to_have_attribute("data-key", key or "")

    def pass_to_test(self) -> None:
        self.page.get_by_role("button", name=re.compile("^Pass unit")).click()
        self.page.wait_for_load_state()

    # Test

    def add_instrument(self, name: str, calibrated: str, due: str) -> None:
        self.follow("Settings")
        self.follow("Instruments")
        self.page.get_by_label("Name").first.fill(name)
        self.page.get_by_label(re.compile("alibrated")).first.fill(calibrated)
        self.page.get_by_label(re.compile("due", re.IGNORECASE)).first.fill(due)
        self.press("Add")

    def read_all(self, part: str, instrument: str) -> int:
        """Types a good reading into every open row of one kind of test."""
        self.page.get_by_role("link", name=re.compile(f"^{part}")).click()
        self.page.wait_for_load_state()
        chooser = self.page.locator("select[name=instrument]")
        if chooser.count():
            label = chooser.locator("option", has_text=instrument).first.inner_text()
            chooser.select_option(label=label)
        typed = 0
        for row in self.page.locator("table.readings tbody tr").all():
            if "not tested yet" not in row.inner_text():
                continue
            value = row.locator("input.s")
            if value.count():
                value.fill(good_value(row.locator("td").nth(2).inner_text()))
            verdict = row.locator("select")
            if verdict.count():
                verdict.select_option("pass")
            typed += 1
        if typed:
            self.press("Save the readings")
        return typed

    def pass_circuits(self, instrument: str) -> None:
        """Continuity, circuit by circuit, as an act of its own for each."""
        self.page.get_by_role("link", name=re.compile("^Continuity")).click()
        self.page.wait_for_load_state()
        while True:
            chooser = self.page.locator("select[name=instrument]")
            label = chooser.locator("option", has_text=instrument).first.inner_text()
            chooser.select_option(label=label)
            button = self.page.get_by_role("button", name=re.compile("^Every wire of it"))
            left = button.count()
            if not left:
                return
            button.first.click()
            self.page.wait_for_load_state()
            expect(button).to_have_count(left - 1)

    def sign_tested(self) -> None:
        self.page.get_by_role("button", name=re.compile("^Sign for unit")).click()
        self.page.wait_for_load_state()


def _is_form(request: Request) -> bool:
    return request.method == "POST" and not request.url.split("?")[0].endswith("/ticks")


def good_value(limit: str) -> str:
    """A reading well inside a limit as the page states it."""
    figures = [float(each.replace(",", "")) for each in re.findall(r"\d[\d,]*\.?\d*", limit)]
    if "at most" in limit:
        return f"{figures[0] * 0.7:.4g}"
    if "at least" in limit:
        return f"{figures[0] * 1.5:.4g}"
    if " to " in limit:
        return f"{(figures[0] + figures[1]) / 2:.4g}"
    return "1.5"
