"""What tests of placing share."""

import pytest

from thirdstop.placing.evaluating import Evaluator


@pytest.fixture
def without_bands(monkeypatch: pytest.MonkeyPatch) -> None:
    """Answers without the bands of place and paint, which take longer than all else: for statements that
    don't speak of them.
    """
    monkeypatch.setattr(Evaluator, "predicted", Evaluator.answered)
