"""Addresses of the register: find anything, an item’s page, an owner’s page."""

from django.urls import path

from jobs.register import find_views, item_views, owner_views, right_views

app_name = "register"

urlpatterns = [
    path("thing/<int:pk>/", item_views.item, name="item"),
    path("thing/<int:pk>/right/", item_views.right, name="item-right"),
    path("thing/<int:pk>/tag/", item_views.tag_again, name="item-tag-again"),
    path("thing/<int:pk>/tag.pdf", item_views.tag_pdf, name="item-tag"),
    path("owner/<int:pk>/", owner_views.owner, name="owner"),
    path("owner/<int:pk>/right/", owner_views.right, name="owner-right"),
    path("owner/<int:pk>/again/", owner_views.again, name="owner-again"),
    path("job/<str:number>/put-right/", right_views.put_right, name="put-right"),
    path("job/<str:number>/put-right/item/", right_views.item, name="put-on-item"),
    path("job/<str:number>/put-right/people/", right_views.party, name="change-party"),
    path("picture/<int:pk>/", right_views.picture, name="picture"),
    path("picture/<int:pk>/move/", right_views.picture_move, name="picture-move"),
    path("paper/<int:pk>/reprint/", right_views.reprint, name="reprint"),
    path("find/", find_views.find, name="find"),
]
