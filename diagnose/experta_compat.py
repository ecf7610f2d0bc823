"""experta, importable on Python 3.10 and later.

experta 1.9.4 pins frozendict 1.2, which still reads `collections.Mapping`; Python 3.10 removed that name. It is put
there just while experta is first imported and taken away again.
"""

from __future__ import annotations

import collections
import collections.abc

_missing = not hasattr(collections, "Mapping")
if _missing:
    collections.Mapping = collections.abc.Mapping
try:
    from experta import AS, MATCH, Fact, KnowledgeEngine, P, Rule
    from experta.abstract import Matcher
    from experta.activation import Activation
    from experta.matchers import ReteMatcher
finally:
    if _missing:
        del collections.Mapping

__all__ = ["AS", "MATCH", "Activation", "Fact", "KnowledgeEngine", "Matcher", "P", "ReteMatcher", "Rule"]
