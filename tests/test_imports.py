"""The import law: parts import downwards only, so that each can be understood on its own."""

import pytest
from django.apps import apps

from tests import import_law, tree
from vendor.environment import ROOT


def test_no_part_reaches_up_or_sideways() -> None:
    """Every module of the project keeps the law."""
    found = []
    for path in tree.project_files():
        if path.suffix == ".py" and path.is_relative_to(ROOT / "vendor"):
            source = path.read_text(encoding="utf-8")
            found += import_law.breaches(import_law.module_name(path, ROOT), source)
    assert not found, "\n".join(map(str, found))


def test_the_law_knows_every_part() -> None:
    """A part that is added has to be given its place in the order."""
    parts = {app.name.split(".")[1] for app in apps.get_app_configs() if "vendor." in app.name}
    assert parts == set(import_law.PARTS)


@pytest.mark.parametrize(
    "source",
    [
        "import vendor.counter.models",
        "import os, vendor.counter.models as till",
        "from vendor.counter import actions",
        "from vendor.counter.models import Sale",
        "from vendor import counter",
        "from vendor import settings",
        "from vendor.templatetags import money",
        "import vendor",
        "from ..counter import actions",
        "from .. import counter",
        "from ..counter.models import Sale",
        "def f():\n    from vendor.counter import actions",
        "if TYPE_CHECKING:\n    from vendor.counter.models import Sale",
        "class A:\n    try:\n        import vendor.counter\n    except ImportError:\n        pass",
        "sale = models.ForeignKey('counter.Sale', on_delete=models.PROTECT)",
        "sale = ForeignKey(to='counter.Sale', on_delete=PROTECT)",
        "pots = models.ManyToManyField('ware.Ware', through='counter.Line')",
        "one = models.OneToOneField('counter.sale', models.CASCADE)",
        "importlib.import_module('vendor.counter.actions')",
        "ring_up = import_string('vendor.counter.actions.ring_up')",
        "Sale = apps.get_model('counter', 'Sale')",
        "Sale = apps.get_model('counter.Sale')",
    ],
)
def test_a_look_upwards_is_found(source: str) -> None:
    """However it's written, fairs can't reach the counter or the top of the house."""
    assert import_law.breaches("vendor.fairs.models", source)


@pytest.mark.parametrize(
    "source",
    [
        "import datetime, numpy as np",
        "from vendor.house.errors import Refused",
        "from vendor.ledger import actions, queries",
        "from vendor import ledger",
        "from vendor.fairs.models import Fair",
        "from . import models",
        "from .models import Fair",
        "from ..ledger import actions",
        "entry = models.ForeignKey('ledger.Entry', on_delete=models.PROTECT)",
        "owner = models.ForeignKey('auth.Group', on_delete=models.PROTECT)",
        "itself = models.ForeignKey('self', on_delete=models.PROTECT)",
        "kind = models.ForeignKey(ContentType, on_delete=models.PROTECT)",
        "note = 'counter.Sale is told of in words only'",
        "Entry = apps.get_model('ledger', 'Entry')",
        "User = get_user_model()",
        "module = import_module(name)",
    ],
)
def test_a_look_downwards_is_let_be(source: str) -> None:
    """Fairs may use itself, what lies below, and other people's packages."""
    assert not import_law.breaches("vendor.fairs.models", source)


def test_relative_imports_count_from_where_they_stand() -> None:
    """In a package's `__init__` and in a deeper module, dots reach the same parts."""
    assert import_law.breaches("vendor.fairs.__init__", "from ..counter import actions")
    assert import_law.breaches("vendor.fairs.migrations.0001_initial", "from ...counter import x")
    assert not import_law.breaches("vendor.fairs.migrations.0001_initial", "from .. import models")


def test_the_top_of_the_house_may_reach_all() -> None:
    """Settings, urls, commands and the demo see every part."""
    assert not import_law.breaches("vendor.urls", "from vendor.studio import views")
    assert not import_law.breaches("vendor.management.commands.demo", "import vendor.counter")


def test_a_breach_names_its_place() -> None:
    """The report says where to look."""
    (breach,) = import_law.breaches("vendor.ware.models", "\nfrom vendor.ledger import actions")
    assert str(breach) == (
        "vendor.ware.models, line 2: reaches vendor.ledger, which is not below it"
    )
