"""Addresses of the desk's pages, by subject."""

from django.urls import path

from jobs.desk import agree_views, by_hand_views, estimate_views, file_views, job_views, letter_views, refused_views

app_name = "desk"

urlpatterns = [
    path("job/<str:number>/", job_views.job, name="job"),
    path("job/<str:number>/move/", job_views.move, name="move"),
    path("job/<str:number>/undo/", job_views.undo, name="undo"),
    path("job/<str:number>/close/", job_views.close, name="close"),
    path("job/<str:number>/nothing-needed/", job_views.nothing_needed, name="nothing-needed"),
    path("job/<str:number>/give/", job_views.give, name="give"),
    path("job/<str:number>/promise/", job_views.promise, name="promise"),
    path("job/<str:number>/tape/", job_views.hold, name="hold"),
    path("job/<str:number>/rest/", job_views.rest, name="rest"),
    path("job/<str:number>/lift/", job_views.lift, name="lift"),
    path("job/<str:number>/place/", job_views.place, name="place"),
    path("job/<str:number>/show-photo/", job_views.choose_photo, name="choose-photo"),
    path("job/<str:number>/new-tag/", job_views.new_tag, name="new-tag"),
    path("job/<str:number>/tag.pdf", file_views.tag_pdf, name="tag-pdf"),
    path("paper/<int:pk>.pdf", file_views.paper, name="paper"),
    path("paper/<int:pk>/again/", file_views.paper_again, name="paper-again"),
    path("job/<str:number>/estimate/", estimate_views.estimate, name="estimate"),
    path("job/<str:number>/estimate/begin/", estimate_views.begin, name="estimate-begin"),
    path("job/<str:number>/estimate/words/", estimate_views.words, name="estimate-words"),
    path("job/<str:number>/estimate/option/", estimate_views.option, name="estimate-option"),
    path("job/<str:number>/estimate/option-words/", estimate_views.option_words, name="estimate-option-words"),
    path("job/<str:number>/estimate/option-off/", estimate_views.option_off, name="estimate-option-off"),
    path("job/<str:number>/estimate/line/", estimate_views.line, name="estimate-line"),
    path("job/<str:number>/estimate/line-off/", estimate_views.line_off, name="estimate-line-off"),
    path("job/<str:number>/estimate/send/", estimate_views.send, name="estimate-send"),
    path("job/<str:number>/estimate/fee/", estimate_views.fee, name="estimate-fee"),
    path("job/<str:number>/estimate/agree/", agree_views.agree, name="estimate-agree"),
    path("job/<str:number>/estimate/withdraw/", agree_views.withdraw, name="estimate-withdraw"),
    path("job/<str:number>/estimate/renew/", agree_views.renew, name="estimate-renew"),
    path("job/<str:number>/estimate/ceiling/", agree_views.ceiling, name="estimate-ceiling"),
    path("job/<str:number>/refused/", refused_views.settle_refusal, name="refused"),
    path("letters/", letter_views.letters, name="letters"),
    path("letters/to-post.pdf", by_hand_views.letters_to_post, name="letters-to-post"),
    path("letters/calls.pdf", by_hand_views.calls, name="calls"),
    path("letters/posted/", by_hand_views.all_posted, name="letters-posted"),
    path("letters/<int:pk>.pdf", by_hand_views.one_letter, name="letter-pdf"),
    path("letters/<int:pk>/tried/", by_hand_views.tried, name="letter-tried"),
    path("letters/again/", letter_views.all_again, name="letters-again"),
    path("letters/<int:pk>/", letter_views.letter, name="letter"),
    path("letters/<int:pk>/told/", letter_views.told, name="letter-told"),
    path("letters/<int:pk>/again/", letter_views.again, name="letter-again"),
    path("letters/<int:pk>/arrived/", letter_views.arrived, name="letter-arrived"),
    path("question/<int:pk>/seen/", letter_views.question_seen, name="question-seen"),
    path("photo/<int:pk>/<str:size>/", file_views.photo, name="photo"),
]
