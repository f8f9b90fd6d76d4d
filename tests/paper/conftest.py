"""Every sample is rendered once; the tests read the results."""

from collections.abc import Callable
from functools import cache

import pytest

from tests.paper.label_samples import LABELS, STOCKS
from tests.paper.samples import ALL
from webapp.paper.labels import labels_pdf
from webapp.paper.papers import to_pdf


@pytest.fixture(scope="session")
def paper_pdf() -> Callable[[str], bytes]:
    return cache(lambda name: to_pdf(ALL[name]))


@pytest.fixture(scope="session")
def sheet_pdf() -> Callable[[str], bytes]:
    return cache(lambda name: labels_pdf(STOCKS[name], LABELS))
