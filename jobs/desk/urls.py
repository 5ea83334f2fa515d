"""Addresses of the desk's pages, by subject."""

from django.urls import path

from jobs.desk import job_views, money_views

app_name = "desk"

urlpatterns = [
    path("job/<str:number>/", job_views.job, name="job"),
    path("job/<str:number>/tag.pdf", job_views.tag_pdf, name="tag-pdf"),
    path("paper/<int:pk>.pdf", job_views.paper, name="paper"),
    path("job/<str:number>/invoice/", money_views.invoice, name="invoice"),
    path("job/<str:number>/payment/", money_views.payment, name="payment"),
    path("job/<str:number>/on-account/", money_views.on_account, name="on-account"),
    path("money/", money_views.money, name="money"),
    path("photo/<int:pk>/<str:size>/", job_views.photo, name="photo"),
]
