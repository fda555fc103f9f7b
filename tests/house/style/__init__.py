"""A page that shows every piece of the look at once, for trying out and for checking.

Look at it with: python manage.py runserver --settings tests.house.style.settings
"""
