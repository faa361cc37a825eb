"""A small workshop as files: every file and nearly every column once, so that a test changes the one cell it speaks of."""

from __future__ import annotations

import csv
from pathlib import Path

SMALL = {
    "workshop.csv": """key,value
name,Small
currency,EUR
cost_flow,average
wage_per_hour,16.00
closed_to,2025-01-01
today,2025-12-31
""",
    "suppliers.csv": """name,note
Utuharju Chemicals,by post
""",
    "places.csv": """name,kind,litres,holds
Shelf,shelf,,
Tub,tub,40.5,
Frames,frame,,3
""",
    "channels.csv": """name,fee_percent,fixed_cost,usual
"Fair, card",1.9,0.00,yes
Online,6.5,14.00,no
""",
    "materials.csv": """\
code,name,substance,unit,density_g_per_ml,pack_quantity,lead_days,place,supplier,opening_date,opening_quantity,opening_value
SALT,Salt,salt,kg,1.2,25,9,Shelf,Utuharju Chemicals,2025-01-01,12,5.40
TAG,Tags,,piece,,,,,,2025-01-01,30,2.10
OILN,Oil,,L,,1,,Shelf,,,,
FLOUR,Flour,,kg,,2,,,,2025-01-01,4,2.00
""",
    "openings.csv": """date,material,quantity,unit,value
2025-01-02,OILN,500,mL,6.75
""",
    "recipes.csv": """recipe,version,name,method,litres_per_skin,material,amount,unit,basis,step,day,note
R1,1,Bath,alum_tawed,6,SALT,40,g,per_litre,bath,0,
R1,1,,,,OILN,80,mL,per_skin,oil,12,
R1,2,Bath,alum_tawed,6,SALT,40,%,percent_of_weight,cure,0,drier
""",
    "steps.csv": """\
recipe,version,name,task,wait_days,lasts_days,grace_days,every_days,repeat,minutes,minutes_per_skin,repeat_minutes,uses,caution
R1,1,Flesh,,,,,,,5,110,,,Mind the knife.
R1,1,Bath,Take out,1,11,3,1,Turn,12,,6,tub,
R1,1,Frame,Begin to soften,,8,,,,,,,frame,
R1,2,Cure,,,9,,,,,,,,
""",
    "skins.csv": """tag,species,sex_age,owner,customer,date_in,green_kg,price,supplier,source,wet_dm2,place
H01,sheep,ewe,mine,,2025-01-11,4.6,12.00,Farm,flock,90,
H02,sheep,,,,2025-01-11,4.2,12.00,Farm,,90,Shelf
H03,roe,,customer,Mrs T,2025-01-10,3,,,,70,
H04,sheep,,mine,,2025-01-11,4,12.00,,,90,
""",
    "batches.csv": """batch,recipe,version,start,litres,planned_skins,skins,share_by,place,note,frames
B1,R1,1,2025-01-11,18,3,H01 H02 H03@2025-01-12 H04@2025-01-11..2025-01-15,weight,Tub,first,Frames
B2,R1,2,2025-01-15,,1,H04,head,,,
""",
    "marks.csv": """date,batch,step,kind,note
2025-01-14,B1,Bath,repeat,cold
2025-01-11,B1,Flesh,,
2025-01-22,B1,Bath,done,
2025-01-20,B2,Cure,skipped,
""",
    "readings.csv": """at,batch,skin,ph,celsius,weight_g,note,photo
2025-01-12T09:30+02:00,B1,,3.4,-1.5,,"cold, ice in the tub",
2025-02-03T17:00:30.25Z,B1,H01,,,4100.5,,
2025-02-05T17:00Z,,H02,,,3650,,
""",
    "deliveries.csv": """date,ref,supplier,carriage,material,packs,pack_quantity,unit,pack_price
2025-01-07,P-1,Utuharju Chemicals,9.90,SALT,2,25,kg,11.50
2025-01-07,P-1,Utuharju Chemicals,9.90,OILN,1,1,L,11.60
2025-01-09,,Shop,0,TAG,1,10,,1.00
""",
    "uses.csv": """date,batch,material,quantity,unit,reason,skins,planned,note
2025-01-11,B1,SALT,6.0,kg,,,7,
2025-01-11,B1,TAG,3,piece,,,,
2025-01-12,B1,SALT,1,us_cup,,H01,,heaped
2025-01-12,,SALT,1,kg,,H04,,
2025-02-12,,TAG,1,,spoiled,,,lost
2025-01-16,B2,SALT,1,kg,,,,
""",
    "counts.csv": """date,material,quantity,unit,note
2025-02-20,SALT,52,kg,caked
2025-02-20,TAG,37,,
""",
    "losses.csv": """date,tag,reason
2025-02-01,H04,slipped
""",
    "labour.csv": """date,batch,skins,task,minutes,who,paid,laced
2025-01-11,B1,,flesh,330,,,
2025-02-03,B1,H01,lace,35,,,yes
2025-02-04,,H02,soften,35.5,Aino,7.00,
""",
    "articles.csv": """date,article,kind,skins,share,area,unit,grade,method,list_price,place
2025-02-22,H01-1,pouch,H01,1/3,12,dm2,A,alum_tawed,38.00,Shelf
2025-02-22,H01-2,pouch,H01,2/3,1.5,sq_ft,A,alum_tawed,,
2025-02-23,H02,rug,H02,,80,,,alum_tawed,185.00,
2025-02-23,H03,rug,H03,1,70,dm2,A,bark,,
""",
}


def write(folder: Path, files: dict[str, str] | None = None) -> Path:
    """The small workshop, or other files, in a folder."""
    folder.mkdir(parents=True, exist_ok=True)
    for name, text in (SMALL if files is None else files).items():
        (folder / name).write_text(text, encoding="utf-8", newline="\n")
    return folder


def change(folder: Path, file: str, row: int, column: str, value: str) -> None:
    """Put another value into one cell; `row` counts as a spreadsheet does."""
    with (folder / file).open(encoding="utf-8", newline="") as source:
        records = list(csv.reader(source))
    records[row - 1][records[0].index(column)] = value
    with (folder / file).open("w", encoding="utf-8", newline="") as target:
        csv.writer(target, lineterminator="\n").writerows(records)


def add(folder: Path, file: str, line: str) -> None:
    with (folder / file).open("a", encoding="utf-8", newline="\n") as target:
        target.write(line + "\n")
