from django.apps import AppConfig


class CoursesConfig(AppConfig):
    name = "society.courses"
    label = "courses"
