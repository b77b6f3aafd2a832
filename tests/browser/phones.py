"""A phone in a browser: logged in, 390 px wide, with its network in our hands."""

import re

from playwright.sync_api import expect

PASSWORD = "a password for tests"


class Phone:
    def __init__(self, browser, base: str, username: str, **options):
        self.browser, self.base, self.options = browser, base, options
        self.context = browser.new_context(viewport={"width": 390, "height": 844}, has_touch=True, **options)
        self.context.set_default_timeout(20_000)
        self.errors: list[str] = []
        self.new_tab()
        self.log_in(username)

    def new_tab(self):
        self.page = self.context.new_page()
        self.page.on("pageerror", lambda e: self.errors.append(str(e)))
        self.page.on("console", lambda m: self.errors.append(m.text) if "Content Security Policy" in m.text else None)
        return self.page

    def log_in(self, username: str):
        self.page.goto(f"{self.base}/log-in/")
        self.page.fill("[name=username]", username)
        self.page.fill("[name=password]", PASSWORD)
        self.page.get_by_role("button", name="Log in").click()
        self.page.wait_for_url(re.compile(r"^(?!.*log-in).*$"))

    def go(self, path: str):
        self.page.goto(self.base + path)

    def ready_without_network(self):
        expect(self.page.locator("#offline-state")).to_have_text("Ready without network.")

    def save(self, **values):
        for name, text in values.items():
            self.page.fill(f"[name={name}]", text)
        self.page.locator("form#sheet-form button.save-readings").evaluate("b => b.click()")

    def badge(self, text: str):
        expect(self.page.locator("#outbox-state")).to_contain_text(
            text, timeout=20_000
        )  # the timer of the outbox has fifteen

    def kept(self) -> list[dict]:
        return self.outbox("async (outbox) => (await outbox.allItems()).map(({ blob, ...item }) => item)")

    def outbox(self, does: str, given=None):
        """Hand the page's own outbox to a function: a module that is asked for again by its address is the same one."""
        script = "(await import(document.querySelector('script[type=module]').src))"
        return self.page.evaluate(f"async (given) => ({does})({script}.outbox, given)", given)

    def close(self):
        self.context.close()
