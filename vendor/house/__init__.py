"""Who works here and how: logins and roles, the studio's settings row, money, lists, keys."""
