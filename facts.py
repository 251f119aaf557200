import os,django,json,sys
os.environ.setdefault("DJANGO_SETTINGS_MODULE","shopapp.settings")
django.setup()
from jobs.models import *
from jobs.queries.pulls import panels_cut, panels_to_cut, pull_shown
out={}
for o in WorkOrder.objects.all():
    out[o.number]=[sorted(panels_cut(o)),[p.panel for p in panels_to_cut(o)]]
for p in Pull.objects.order_by("pk"):
    s=pull_shown(p)
    out[p.pk]=[p.state,p.planned_mm,p.taken_mm,str(s.length),str(s.bound),str(s.waste),len(s.drawings),p.searched,s.orders]
json.dump(out,open(sys.argv[1],"w"),indent=0,default=str)
