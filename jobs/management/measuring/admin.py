"""Django admin's list of the open jobs with the columns of the rails: the yardstick of `measure board`."""

from typing import TYPE_CHECKING

from django.contrib.admin import AdminSite, ModelAdmin
from django.db.models import Prefetch, QuerySet
from django.http import HttpRequest

from jobs.book.models import Hold, Job, JobParty

if TYPE_CHECKING:
    JobAdmin = ModelAdmin[Job]
else:
    JobAdmin = ModelAdmin  # takes no type at run time


class JobList(JobAdmin):
    """The same jobs and columns, as well fetched as the admin can."""

    list_per_page = 500
    list_max_show_all = 500
    show_full_result_count = False
    list_display = ("number", "thing", "owner", "stage", "promised", "sureness", "assigned", "held")

    def get_queryset(self, request: HttpRequest) -> QuerySet[Job]:
        owners = JobParty.objects.filter(role="owner").select_related("party")
        holds = Hold.objects.filter(lifted_at__isnull=True)
        return (
            super()
            .get_queryset(request)
            .filter(closed_at__isnull=True)
            .select_related("item", "assigned")
            .prefetch_related(
                Prefetch("roles", owners, to_attr="owner_roles"), Prefetch("holds", holds, to_attr="open_holds")
            )
        )

    def thing(self, job: Job) -> str:
        """Item."""
        return job.item.title

    def owner(self, job: Job) -> str:
        """Owner."""
        return ", ".join(held.party.name for held in vars(job)["owner_roles"])

    def held(self, job: Job) -> str:
        """Tapes."""
        return ", ".join(str(hold) for hold in vars(job)["open_holds"])


site = AdminSite(name="measure")
site.register(Job, JobList)
