"""Addresses of the money pages."""

from django.urls import path, register_converter

from jobs.till import drawer_views, issued_views, job_views, payer_views
from jobs.till.days import DayConverter

app_name = "till"
register_converter(DayConverter, "day")

urlpatterns = [
    path("job/<str:number>/invoice/", job_views.invoice, name="invoice"),
    path("job/<str:number>/payment/", job_views.payment, name="payment"),
    path("job/<str:number>/on-account/", job_views.on_account, name="on-account"),
    path("job/<str:number>/refund/", job_views.refund_held, name="refund-held"),
    path("money/", payer_views.money, name="money"),
    path("money/takings/", drawer_views.takings, name="takings"),
    path("money/takings/close/", drawer_views.close, name="close"),
    path("money/takings/<day:on>/", drawer_views.day, name="day"),
    path("money/count/<int:number>/", drawer_views.count, name="count"),
    path("money/received/<int:pk>/", issued_views.received, name="received"),
    path("money/received/<int:pk>/wrong/", issued_views.take_back, name="take-back"),
    path("money/invoice/<str:number>/", issued_views.issued, name="issued"),
    path("money/invoice/<str:number>/credit/", issued_views.credit, name="credit"),
    path("money/invoice/<str:number>/refund/", issued_views.refund, name="refund"),
    path("money/payer/<int:pk>/", payer_views.payer, name="payer"),
    path("money/payer/<int:pk>/statement.pdf", payer_views.statement, name="statement"),
]
