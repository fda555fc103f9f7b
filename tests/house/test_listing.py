"""A list page: found, narrowed, sorted, paged, added up and taken away."""

import pytest

from tests.house.shelf_list import ROWS, names, read_csv, shelf, soup

pytestmark = pytest.mark.django_db


@pytest.mark.parametrize(
    ("query", "expected"),
    [
        ("q=TUMBLER", 2),
        ("q=tumbler+celadon", 1),
        ("q=ámphora", 1),
        ("q=nothing+such", 0),
        ("q=%00", 4),
        ("finish=ash", 2),
        ("finish=ash&few=yes", 1),
        ("finish=plaid", 4),
        ("few=perhaps", 4),
        ("made_from=2026-12-02&made_to=2026-12-03", 2),
        ("made_from=soon", 4),
        ("made_from=9999-12-31&made_to=0001-01-01", 4),
    ],
)
def test_a_list_is_narrowed_by_what_is_on_offer(query: str, expected: int) -> None:
    """By words, one of several, a stretch of days; what is unknown is passed over."""
    assert shelf(query).count == expected


def test_choices_are_read_from_the_whole_list() -> None:
    """Narrowing by one finish still offers the others, the chosen one marked."""
    finish = shelf("finish=ash").inputs[0]
    assert [offer.value for offer in finish.offers] == ["ash", "celadon", "shino"]
    assert [offer.value for offer in finish.offers if offer.chosen] == ["ash"]


@pytest.mark.parametrize(
    ("query", "first"),
    [
        ("sort=name", "=Berry bowl"),
        ("sort=-free", "tumbler, <b>ash</b>"),
        ("sort=free", "Ámphora"),
        ("sort=-price", "Ámphora"),
        ("sort=made", "Tumbler, celadon"),
        ("sort=password", "Tumbler, celadon"),
        ("sort=", "Tumbler, celadon"),
        ("sort=-", "Tumbler, celadon"),
    ],
)
def test_a_list_is_sorted_by_its_columns(query: str, first: str) -> None:
    """By any column, either way; a column that is not there changes nothing."""
    assert names(shelf(query))[0] == first


def test_rows_without_a_figure_come_last_either_way() -> None:
    """An unknown count is neither the most nor the least."""
    assert names(shelf("sort=free"))[-1] == names(shelf("sort=-free"))[-1] == "=Berry bowl"


@pytest.mark.parametrize(
    ("query", "size", "page"),
    [
        ("", 50, 1),
        ("per_page=0", 5, 1),
        ("per_page=-7", 5, 1),
        ("per_page=100000", 200, 1),
        ("per_page=all", 50, 1),
        ("per_page=5&page=999", 5, 8),
        ("per_page=5&page=0", 5, 1),
        ("per_page=5&page=last", 5, 1),
        (f"per_page=5&page={'9' * 5000}", 5, 1),
    ],
)
def test_pages_keep_within_bounds(query: str, size: int, page: int) -> None:
    """However large or odd the address, a page has 5 to 200 rows and is one that there is."""
    found = shelf(query, rows=ROWS * 10)
    assert (found.paginator.per_page, found.table.page.number) == (size, page)


def test_totals_add_up_the_whole_list_and_not_the_page() -> None:
    """Ten times the four rows, five on a page: the foot tells of all forty."""
    foot = soup(shelf("per_page=5", rows=ROWS * 10)).tfoot
    assert foot is not None
    cells = [cell.get_text(strip=True) for cell in foot.find_all(["th", "td"])]
    assert cells == ["40 pieces of ware", "", "160", "$2,340.00", ""]


def test_the_table_says_what_it_is_to_everyone() -> None:
    """Caption, scopes, the order in force, and row headers; names are escaped."""
    page = soup(shelf("sort=-price"))
    assert page.caption is not None
    assert page.caption.get_text() == "On the shelf"
    assert page.select_one('th[scope="col"][aria-sort="descending"] a').get_text() == "Price"
    assert len(page.select('th[aria-sort="ascending"]')) == 0
    assert len(page.select('tbody th[scope="row"]')) == 4
    assert page.select_one("tbody b") is None
    link = page.select_one('tbody a[href="/ware/celadon/"]')
    assert link.get_text() == "Tumbler, celadon"
    assert link.find_next_sibling("span", class_="why").get_text() == "sold out Sunday"
    region = page.select_one('[role="region"]')
    assert (region["aria-label"], region["tabindex"]) == ("On the shelf", "0")


def test_links_keep_what_the_address_says() -> None:
    """Sorting keeps the search and leaves the page; a page keeps the order."""
    page = soup(shelf("q=t&sort=name&page=2&per_page=5&fair=7", rows=ROWS * 10))
    head = page.select_one("thead a")["href"]
    assert {"q=t", "sort=-name", "fair=7"} <= set(head[1:].split("&"))
    assert "page=2" not in head.split("&")
    assert {"sort=name", "page=1"} <= set(page.select_one(".pages li a")["href"][1:].split("&"))
    assert page.select_one('.seek input[type="hidden"][name="fair"]')["value"] == "7"
    assert page.select_one(".pages [aria-current]").get_text() == "Page 2"


def test_an_empty_list_says_what_to_do_first() -> None:
    """Nothing at all leads to the first thing to do; nothing found leads back to all."""
    bare = soup(shelf(rows=[]))
    assert bare.h2 is not None
    assert bare.h2.get_text() == "Nothing on the shelf yet"
    assert bare.select_one(".empty a")["href"] == "/login/"
    assert bare.form is None
    narrowed = soup(shelf("q=zebra"))
    assert narrowed.h2 is not None
    assert narrowed.h2.get_text() == "Nothing matches"
    assert narrowed.select_one(".empty a")["href"] == "/shelf/"


def test_an_export_holds_all_pages_as_narrowed_and_sorted() -> None:
    """Numbers as numbers, money in whole units, text that can't run, under the day's name."""
    table = read_csv(shelf("sort=-price&per_page=5&finish=shino", rows=ROWS * 10))
    assert table[0] == ["Ware", "Finish", "Free", "Price (USD)", "Made"]
    assert len(table) == 11
    assert table[1] == ["'=Berry bowl", "shino", "", "46.00", "2026-12-03"]
    answer = shelf("_export=xlsx").answer("house/list.html")
    assert answer.content[:2] == b"PK"
    assert answer["Content-Disposition"].endswith('.xlsx"')


@pytest.mark.parametrize("kind", ["yaml", "latex", "CSV", "", "csv/../x"])
def test_an_unknown_export_is_the_page_itself(kind: str) -> None:
    """Only the formats that are offered are there."""
    answer = shelf(f"_export={kind}").answer("house/list.html")
    assert answer["Content-Type"].startswith("text/html")


def test_a_column_left_out_is_left_out_everywhere() -> None:
    """What a helper may not see is neither on the page, nor in the file, nor in the order."""
    found = shelf("sort=-price", exclude=("price",))
    assert "Price" not in soup(found).get_text()
    assert read_csv(found)[0] == ["Ware", "Finish", "Free", "Made"]
    assert names(found)[0] == "Tumbler, celadon"


def test_two_lists_on_a_page_keep_apart() -> None:
    """With a prefix each, one's search and order are not the other's."""
    query = "q=zebra&a-q=tumbler&a-sort=-free&b-page=1"
    first, second = shelf(query, prefix="a-"), shelf(query, prefix="b-")
    assert names(first) == ["tumbler, <b>ash</b>", "Tumbler, celadon"]
    assert second.count == 4
    assert soup(first).select_one('input[name="a-q"]')["value"] == "tumbler"


def test_sorting_in_a_phone_s_list_is_a_choice() -> None:
    """Where the table has no heads, the order is chosen from a list."""
    chosen = [order for order in shelf("sort=-free").orders if order[2]]
    assert chosen == [("-free", "Free, falling", True)]
