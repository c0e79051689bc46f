"""The site of the documents: Sphinx with MyST, everything local, nothing fetched."""

project = "Springwright"
author = "The Springwright authors"
extensions = ["myst_parser"]
myst_enable_extensions = ["colon_fence", "deflist"]
myst_heading_anchors = 3
source_suffix = {".md": "markdown"}
exclude_patterns = ["_build"]
html_theme = "furo"
html_title = "Springwright"
html_static_path = ["_static"]
html_css_files = ["site.css"]
html_theme_options = {"top_of_page_buttons": []}
html_show_sphinx = False
html_copy_source = False
html_show_sourcelink = False
nitpicky = True
html_show_copyright = False
smartquotes = False  # quotes are part of what is typed
