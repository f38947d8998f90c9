"""A keeper made of software, who talks with `dosewren talk` through two virtual sound devices."""
