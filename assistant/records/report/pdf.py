"""The report as PDF pages, by WeasyPrint: it prints the same HTML, with its style for paper and its pictures."""

from __future__ import annotations

import logging
import warnings

from assistant.errors import OperatorError


def as_pdf(html: str) -> bytes:
    """Pages from the report's HTML. Nothing outside it is fetched.

    Raises:
        OperatorError: the library, or one that it needs, is not installed.
    """
    try:
        with warnings.catch_warnings():
            # without HarfBuzz's subset library it embeds fonts by another one, and announces that this will end
            warnings.simplefilter("ignore", DeprecationWarning)
            import weasyprint
    except (ImportError, OSError):
        raise OperatorError(
            "PDF needs the package weasyprint and the system's Pango library, and one of them is missing.",
            remedy="Run: pip install 'leadsman[pdf]' (Debian also: apt-get install libpango-1.0-0 "
            "libpangoft2-1.0-0), or make --format html and print that.",
        ) from None
    logging.getLogger("weasyprint").setLevel(logging.ERROR)

    # photos stand in the page itself; nothing else is fetched
    inside = weasyprint.urls.URLFetcher(allowed_protocols=("data",), allow_redirects=False)
    pages: bytes = weasyprint.HTML(string=html, url_fetcher=inside).write_pdf()
    return pages
