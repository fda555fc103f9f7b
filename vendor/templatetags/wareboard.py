"""The template tags of every page: the round, money and measures, pots, bars, words for counts.

{% load wareboard %}
{% money 3400 %}                        $34.00, in the studio's currency
{% bare_money 3400 %}                   34.00, for a column whose head names the currency
{% length form.height_mm %}             11 cm, or 4¼ in, by the studio's units
{% size form.height_mm form.width_mm %} 11 cm high, 8.5 cm wide
{% weight form.clay_g %}                450 g, or 1 lb
{% day weekend.first_day %}             Sat, Dec 5, 2026, in the studio's language
{% short_day %} {% month %} {% short_weekday %} {% moment %} {% time_of %}   other ways to say when
{% fresh_key %}                         a key for a form that must not count twice
{% changed form %}                      who changed a thing last and when, with a way to all of it
{% plural 3 "piece" %}                  3 pieces; {% plural n "loss" "losses" %}
{% frame forms as drawn %}              the frame that a row of pots shares (its scale)
{% pot form finish frame=drawn %}       the pot, drawn to scale; decorative by default
{% pot form finish label="Tumbler, celadon" %}     where no words stand beside it
{% bar 34 of=120 %}                     a length for a number that stands beside it
{% column 2914 of=3600 %}               an upright bar of the season; guess=True: dashed
{% page_address "labels:index" as tags %}  a page's address, or None where the visitor may
                                        not open it or it is not there
"""

import datetime
from collections.abc import Iterable
from typing import Any

from django import template
from django.template import Context
from django.utils.html import format_html
from django.utils.safestring import SafeString, mark_safe

from vendor.house import changes, dates, season, written
from vendor.house.models import Studio, new_key
from vendor.ware import drawing

register = template.Library()


def _studio(context: Context) -> Studio:
    """Return the studio of the page; before the first run, one with the usual settings."""
    found: Studio | None = getattr(context.get("request"), "studio", None)
    return found or Studio(currency="USD")


@register.inclusion_tag("house/round.html", takes_context=True)
def season_round(context: Context) -> dict[str, Any]:
    """Show the navigation: the round, four entries of it near the thumb, and who is logged in.

    On a page that is `nameless`, as a device may keep it, not who is logged in.
    """
    request = context.get("request")
    user = getattr(request, "user", None)
    if request is None or user is None:
        return {"entries": [], "near": []}
    match = request.resolver_match
    entries = season.shown(season.ROUND, user, match)
    return {
        "entries": entries,
        "near": [entry for entry in entries if entry.near],
        "away": next((entry for entry in entries if entry.current and not entry.near), None),
        "account": season.shown(season.ACCOUNT, user, match),
        "home": season.address_of("studio:home", user),
        "logout": season.address_of("house:logout", user),
        "studio": getattr(request, "studio", None),
        "user": None if context.get("nameless") else user,
        "csrf_token": context.get("csrf_token"),
    }


@register.simple_tag(takes_context=True)
def page_address(context: Context, page: str, *about: Any) -> str | None:
    """Return the address of a page (about something), or None where it can't be opened."""
    user = getattr(context.get("request"), "user", None)
    return season.address_of(page, user, *about) if user is not None else None


@register.simple_tag(takes_context=True)
def money(context: Context, minor: int | None) -> str:
    """Write an amount of minor units with its currency; a dash for none."""
    return "—" if minor is None else written.money(minor, _studio(context))


@register.simple_tag(takes_context=True)
def bare_money(context: Context, minor: int | None) -> str:
    """Write an amount of minor units without its currency; a dash for none."""
    return "—" if minor is None else written.bare_money(minor, _studio(context))


@register.simple_tag(takes_context=True)
def length(context: Context, mm: int | None) -> str:
    """Write a length given in millimetres; a dash for none."""
    return "—" if mm is None else written.length(mm, _studio(context))


@register.simple_tag(takes_context=True)
def size(context: Context, height_mm: int, width_mm: int) -> str:
    """Write a form's height and width, given in millimetres."""
    return written.size(height_mm, width_mm, _studio(context))


@register.simple_tag(takes_context=True)
def weight(context: Context, grams: int | None) -> str:
    """Write a weight given in grams; a dash for none."""
    return "—" if grams is None else written.weight(grams, _studio(context))


@register.simple_tag(takes_context=True)
def day(context: Context, date: datetime.date | None) -> str:
    """Write a day with its weekday; a dash for none."""
    return "—" if date is None else written.day(date, _studio(context))


@register.simple_tag
def short_day(date: datetime.date | None) -> str:
    """Write a day of a year that is known; a dash for none."""
    return "—" if date is None else dates.short_day(date)


@register.simple_tag
def month(date: datetime.date | None) -> str:
    """Write a month with its year; a dash for none."""
    return "—" if date is None else dates.month(date)


@register.simple_tag
def short_weekday(date: datetime.date) -> str:
    """Write which day of the week it is, in short."""
    return dates.short_weekday(date)


@register.simple_tag(takes_context=True)
def time_of(context: Context, at: datetime.datetime) -> str:
    """Write the time of a moment on the studio's clock."""
    return written.time(at, _studio(context))


@register.simple_tag(takes_context=True)
def days(context: Context, first: datetime.date, last: datetime.date) -> str:
    """Write the days from the first to the last, in short."""
    return written.days(first, last, _studio(context))


@register.simple_tag(takes_context=True)
def moment(context: Context, at: datetime.datetime | None) -> str:
    """Write a moment on the studio's clock; a dash for none."""
    return "—" if at is None else written.moment(at, _studio(context))


@register.inclusion_tag("house/changed.html", takes_context=True)
def changed(context: Context, row: Any) -> dict[str, Any]:
    """Say who changed a thing last and when, with a way to all its changes (one statement)."""
    user = getattr(context.get("request"), "user", None)
    change = changes.last_change(row) if row.pk else None
    return {
        "change": change,
        "when": written.moment(change.at, _studio(context)) if change else "",
        "told": changes.in_words(change) if change else "",
        "name": str(row) if row.pk else "",
        "all": season.address_of("studio:changes", user) if user is not None else None,
    }


@register.simple_tag
def fresh_key() -> str:
    """Return a key for a form that must not count twice; where a page has many, each its own."""
    return new_key()


@register.simple_tag
def plural(count: int, one: str, many: str = "") -> str:
    """Write a count with its thing: 1 piece, 3 pieces, 1,200 pieces."""
    return f"{count:,} {one if count == 1 else many or one + 's'}"


@register.simple_tag
def frame(forms: Iterable[Any]) -> drawing.Frame:
    """Return the frame that all these forms fit in: what they share is their scale."""
    return drawing.frame_of((form.height_mm, form.width_mm) for form in forms)


@register.simple_tag
def pot(
    form: Any, finish: Any = "", frame: drawing.Frame | None = None, label: str = "", **more: str
) -> SafeString:
    """Draw a form in a finish, to scale.

    `form` has name, profile, height_mm and width_mm; `finish` is a colour or has one. Without a
    label the drawing is hidden from screen readers, as the name stands in words beside it.
    `css_class` names a class of the drawing.
    """
    return mark_safe(  # noqa: S308 - drawing.svg escapes every word that it is given
        drawing.svg(
            profile=getattr(form, "profile", "") or form.name,
            height_mm=form.height_mm,
            width_mm=form.width_mm,
            colour=getattr(finish, "colour", finish) or drawing.PLAIN,
            frame=frame,
            label=label,
            css_class=more.get("css_class", ""),
        )
    )


@register.simple_tag
def picture(ware: Any, frame: drawing.Frame | None = None, label: str = "") -> SafeString:
    """Show a ware's photo where there is one, else draw its pot, to scale."""
    if ware.photo:
        return format_html('<img src="{}" alt="{}" loading="lazy">', ware.photo.url, label)
    return pot(ware.form, ware.finish, frame=frame, label=label)


def _share(value: float, of: float) -> str:
    """Return a value as a share of a whole from 0 to 100, for a drawing."""
    share = 0.0 if of <= 0 else min(1.0, max(0.0, float(value) / float(of)))
    return f"{share * 100:.1f}"


@register.simple_tag
def bar(value: float, of: float, soft: bool = False) -> SafeString:
    """Draw a lying bar; the number itself stands in words beside it."""
    return format_html(
        '<svg class="bars" viewBox="0 0 100 8" preserveAspectRatio="none" aria-hidden="true">'
        '<rect class="ground" width="100" height="8"/>'
        '<rect class="fill{}" width="{}" height="8"/></svg>',
        " soft" if soft else "",
        _share(value, of),
    )


@register.simple_tag
def column(value: float, of: float, guess: bool = False) -> SafeString:
    """Draw an upright bar of the season; a guess is dashed. The number stands beside it."""
    height = _share(value, of)
    return format_html(
        '<svg viewBox="0 0 100 100" preserveAspectRatio="none" aria-hidden="true">'
        '<path class="{}" d="M2 100V{}H98V100"/></svg>',
        "guess" if guess else "fill",
        f"{100 - float(height):.1f}",
    )
