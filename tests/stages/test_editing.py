import pytest

from webapp.stages.editing import merged
from webapp.stages.refusals import Both, ChangedMeanwhile

OPENED = {"name": "Dunlin", "phone": "1", "notes": "a"}


def test_edits_of_different_values_merge() -> None:
    now = OPENED | {"phone": "2"}
    typed = OPENED | {"notes": "b"}
    assert merged(now=now, opened=OPENED, typed=typed) == {
        "name": "Dunlin",
        "phone": "2",
        "notes": "b",
    }


def test_the_same_edit_twice_is_no_clash() -> None:
    now = OPENED | {"phone": "2"}
    assert merged(now=now, opened=OPENED, typed=now) == now


def test_edits_of_one_value_show_both() -> None:
    now = OPENED | {"phone": "2", "name": "Dunlin Ltd"}
    with pytest.raises(ChangedMeanwhile) as caught:
        merged(now=now, opened=OPENED, typed=OPENED | {"phone": "3", "notes": "b"})
    assert caught.value.both == (Both("phone", theirs="2", yours="3"),)
    assert caught.value.now == now
    assert caught.value.merged == {"name": "Dunlin Ltd", "phone": "3", "notes": "b"}


def test_values_that_were_not_sent_stay() -> None:
    assert merged(now=OPENED, opened={}, typed={"phone": "9"}) == OPENED | {"phone": "9"}
