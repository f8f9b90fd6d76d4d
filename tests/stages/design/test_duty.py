import pytest

from webapp.stages.design.duty import NotADuty, duty_text, read_duty


@pytest.mark.parametrize(
    ("text", "duty"),
    [
        ("", (None, None)),
        ("continuous", (None, None)),
        ("Continuous ", (None, None)),
        ("intermittent 10 s on 60 s off", (10, 60)),
        ("10 s on, 60 s off", (10, 60)),
        ("10 sec on 60 seconds off", (10, 60)),
        ("5/60", (5, 60)),
        ("0.5 / 2.5", (0.5, 2.5)),
    ],
)
def test_duty_is_read(text: str, duty: tuple[float | None, float | None]) -> None:
    assert read_duty(text) == duty
    assert read_duty(duty_text(*duty)) == duty


@pytest.mark.parametrize("text", ["often", "10 s on", "0/60", "10/0", "10/100000", "60", "-1/5"])
def test_what_is_no_duty_is_refused(text: str) -> None:
    with pytest.raises(NotADuty):
        read_duty(text)
