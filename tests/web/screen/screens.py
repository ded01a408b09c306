"""A session screen without a session: prompts are put in front of it, and it is measured."""

from __future__ import annotations

from pathlib import Path

from playwright.sync_api import Page

from tests.web.screen.prompts import Standing

LINE = (Path(__file__).parent / "line.js").read_text(encoding="utf-8")


class Shown:
    """A session screen without a session: what it shows is put in front of it, message by message."""

    def __init__(self, page: Page, base: str) -> None:
        self._page, self._number = page, 0
        page.add_init_script(LINE)
        page.goto(f"{base}/session/20260302-080000-aaa")
        page.wait_for_function("() => document.getElementById('line').dataset.state === 'here'")

    def show(self, one: Standing) -> None:
        """Have one prompt shown, and wait until it is."""
        self._page.evaluate("(one) => window.shown(one)", self._numbered(one))

    def measured(self, prompts: tuple[Standing, ...], measure: str) -> list[str]:
        """Have each shown in turn; what the measure, a function of the page, finds wrong with each, by its name."""
        return list(
            self._page.evaluate(
                f"""async (prompts) => {{
              const wrong = [], measure = {measure};
              for (const one of prompts) {{
                await window.shown(one);
                wrong.push(...measure().map((found) => `${{one.prompt}}: ${{found}}`));
              }}
              return wrong;
            }}""",
                [self._numbered(one) for one in prompts],
            )
        )

    def _numbered(self, one: Standing) -> Standing:
        self._number += 1
        return {**one, "turn": self._number}
