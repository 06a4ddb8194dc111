"""Pictures are taken of pages that there are."""

import pytest
from django.urls import resolve

from tests.tools.shots import SHOTS


@pytest.mark.parametrize("shot", SHOTS, ids=lambda shot: shot.name)
def test_a_picture_is_taken_of_an_address_that_there_is(shot):
    assert resolve(shot.url.partition("?")[0]).view_name


def test_no_two_pictures_have_one_name():
    assert len({shot.name for shot in SHOTS}) == len(SHOTS)
