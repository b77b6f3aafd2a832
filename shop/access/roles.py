"""Three roles and what each may do, as permissions of Django groups. DEVELOPERS.md shows the same table.

A floor above adds its own grants by calling `sync_roles` with its table; nothing here knows that floor.
"""

DESK, TECHNICIAN, OWNER = "front desk", "technician", "owner"
ROLES = (DESK, TECHNICIAN, OWNER)

VIEW_ALL = ["shop.view_jobcard", "shop.view_customer", "sizing.view_plan", "sizing.view_turbo"]
GRANTS = {
    DESK: [
        *VIEW_ALL,
        "shop.add_jobcard",
        "shop.change_jobcard",
        "shop.move_jobcard",
        "shop.hand_over_jobcard",
        "shop.add_customer",
        "shop.change_customer",
        "shop.change_vehicle",
        "shop.add_enginefact",
        "shop.add_quote",
        "shop.change_quote",
        "shop.add_followup",
        "shop.add_failure",
        "shop.add_jobphoto",
    ],
    TECHNICIAN: [
        *VIEW_ALL,
        "shop.move_jobcard",
        "shop.fit_jobcard",
        "shop.add_survey",
        "shop.add_enginefact",
        "shop.add_jobphoto",
        "shop.add_safetysignoff",
        "shop.add_failure",
    ],
}
GRANTS[OWNER] = sorted(
    {
        *GRANTS[DESK],
        *GRANTS[TECHNICIAN],
        "shop.override_jobcard",
        "shop.change_workshop",
        "shop.add_backup",
        "shop.add_person",
        "shop.change_person",
        "sizing.add_plan",
        "sizing.change_plan",
        "sizing.add_turbo",
        "sizing.change_turbo",
    }
)


def sync_roles(grants: dict[str, list[str]]) -> None:
    """Give each group the permissions in the table; what a group has beyond it stays."""
    from django.contrib.auth.models import Group, Permission

    wanted = {name for names in grants.values() for name in names}
    known = {
        f"{p.content_type.app_label}.{p.codename}": p
        for p in Permission.objects.select_related("content_type").filter(
            codename__in=[name.split(".")[1] for name in wanted]
        )
    }
    missing = wanted - known.keys()
    if missing:
        raise ValueError(f"No such permission: {', '.join(sorted(missing))}")
    for role, names in grants.items():
        group, _ = Group.objects.get_or_create(name=role)
        group.permissions.add(*[known[name] for name in names])
