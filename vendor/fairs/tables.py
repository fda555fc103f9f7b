"""The list of all packing lists."""

from vendor.house.tables import A, Column, CountColumn, HouseTable, MomentColumn, NameColumn


class PackingListsTable(HouseTable):
    """Every packing list, with its weekend and whether the van was loaded by it."""

    thing, things = "list", "lists"
    caption = "Packing lists"

    title = NameColumn(
        accessor="packing_list__title",
        verbose_name="List",
        linkify=("fairs:packing_list", [A("packing_list__pk")]),
        why="packing_list__weekend__span",
    )
    fair = Column(accessor="packing_list__weekend__fair__name", verbose_name="Fair")
    pieces = CountColumn(total=True)
    state = Column()
    loaded = MomentColumn(accessor="packing_list__loaded_at", verbose_name="Loaded at")
