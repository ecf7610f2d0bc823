"""A metal drier on the list tells of drying oil or alkyd, and of rags that heat up."""

import pytest
from labels import bottle, values


@pytest.mark.parametrize("drier", ["cobalt neodecanoate 27253-31-2", "zirconium octoate", "manganese octoate"])
def test_a_drier_tells_of_oil_and_of_rags(drier):
    text = f"for: [clear_coat]\nStoddard solvent 8052-41-3 40 - 60 %\n{drier} 0.1 - <0.5 %\n"
    assert values(text, "binder_kind") == {"oil"}
    assert "oily_rags" in {caution.id for caution, _ in bottle(text).cautions}


def test_a_drier_by_itself_is_no_oil():
    assert values("Stoddard solvent 8052-41-3 40 - 60 %\ncobalt octoate 40 - 60 %\n", "binder_kind") == set()


def test_another_resin_beside_it_leaves_the_kind_open():
    text = "nitrocellulose 10 - 15 %\nn-butyl acetate 60 - 70 %\ncobalt octoate 0.1 - 0.5 %\n"
    assert values(text, "binder_kind") != {"oil"}
