"""A small workshop as files: every file and nearly every column once, so that a test changes the one cell it speaks of."""

from __future__ import annotations

import csv
import io
from functools import cache
from pathlib import Path

from PIL import Image

SMALL = {
    "workshop.csv": """key,value
name,Small
currency,EUR
cost_flow,average
wage_per_hour,16.00
closed_to,2025-01-01
today,2025-12-31
""",
    "rates.csv": """since,wage_per_hour,overhead_per_hour,frame_wear,vat_percent,price_step
2025-11-01,,4.50,,,
2025-12-01,18.00,,,,5.00
""",
    "suppliers.csv": """name,note,carriage,carriage_free_from
Utuharju Chemicals,by post,9.90,150.00
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
code,name,substance,unit,density_g_per_ml,pack_quantity,lead_days,place,supplier,opening_date,opening_quantity,opening_value\
,min_order,price_breaks,breaks_on
SALT,Salt,salt,kg,1.2,25,9,Shelf,Utuharju Chemicals,2025-01-01,12,5.40,50,4 11.00; 10 10.20,further
TAG,Tags,,piece,,,,,,2025-01-01,30,2.10,,,
OILN,Oil,,L,,1,,Shelf,,,,,,,
FLOUR,Flour,,kg,,2,,,,2025-01-01,4,2.00,,,all
""",
    "openings.csv": """date,material,quantity,unit,value
2025-01-02,OILN,500,mL,6.75
""",
    "recipes.csv": """recipe,version,name,method,litres_per_skin,material,amount,unit,basis,step,day,how,note
R1,1,Bath,alum_tawed,6,SALT,40,g,per_litre,Bath,1,,
R1,1,,,,OILN,80,mL,per_skin,Frame,12,warm,
R1,2,Bath,alum_tawed,6,SALT,40,%,percent_of_weight,Cure,0,,drier
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
    "snoozes.csv": """date,material,until,reason
2025-12-30,OILN,2026-02-01,cheaper in February
""",
    "orders.csv": """order,supplier,date,due_on,ref,note,material,packs,pack_quantity,unit,pack_price,closed_on,closed_why
O1,Utuharju Chemicals,2025-01-02,2025-01-08,A-7,by post,SALT,4,25,kg,11.50,2025-02-01,sold out
O1,Utuharju Chemicals,2025-01-02,,,,OILN,1,1000,mL,,,
O2,Shop,2025-03-02,,,,TAG,2,10,,1.00,,
""",
    "deliveries.csv": """date,ref,supplier,carriage,material,packs,pack_quantity,unit,pack_price,order
2025-01-07,P-1,Utuharju Chemicals,9.90,SALT,2,25,kg,11.50,O1
2025-01-07,P-1,Utuharju Chemicals,9.90,OILN,1,1,L,11.60,O1
2025-01-09,,Shop,0,TAG,1,10,,1.00,
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

# What comes into the house, without what is done with it.
BOUGHT = {
    f"{name}.csv": SMALL[f"{name}.csv"]
    for name in ("workshop", "rates", "suppliers", "places", "materials", "openings", "snoozes", "orders", "deliveries")
}

SELLING = SMALL | {
    "workshop.csv": SMALL["workshop.csv"] + 'postal_address,"Lane 1, Utuharju"\ncountry,FI\n',
    "places.csv": SMALL["places.csv"] + "Box,fair,,\nGallery,gallery,,\n",
    "channels.csv": """name,fee_percent,fixed_cost,usual,place
"Fair, card",1.9,0.00,yes,
Craft room,35,0.00,no,Gallery
""",
    "uses.csv": """date,batch,material,quantity,unit,reason,skins,sale,note
2025-01-11,B1,SALT,6.0,kg,,,,
2025-01-12,,SALT,1,kg,,H04,,
2025-01-16,B2,SALT,1,kg,,,,
2025-03-05,,TAG,1,,sold,,INV-001,with the roe
""",
    "customers.csv": """name,postal_address,country,electronic_address,tax_number,language,note
Mrs T,"Hill 1, Utuharju",,t@example.org,,fi,
Craft room,"Road 2, Utuharju",DE,,XX9,,35 %
""",
    "label_sheets.csv": """name,paper,columns,rows,width,height,left,top,gap_x,gap_y,offset_x,offset_y
Half used,a4,3,7,63.5,38.1,7.2,15.1,2.5,0,0.5,-0.3
""",
    "words.csv": """language,key,text
en,terms.warranty,We mend what gives way.
fi,kit.page,s. {number} / {count}
""",
    "languages.csv": """language,at,who
fi,2025-03-01T10:00+02:00,owner
""",
    "jobs.csv": """job,customer,skin,taken_on,work,condition,price,deposit,ready_by,ready_on,note
J-1,Mrs T,H03,2025-01-10,tan,torn at the neck,80.00,30.00,2025-03-01,2025-02-24,
""",
    "fairs.csv": """name,date,place,stall_minutes,pieces,closed_on,back,note
Spring fair,2025-03-01,Box,300,H01-1 H01-2,2025-03-01,H01-2,rain
""",
    "sales.csv": """\
sale,kind,date,issued_on,customer,channel,fair,credits,reason,back_to,note,line,article,job,skin,words,quantity,asked,discount,of_line,off
S-001,,2025-03-01,,,"Fair, card",Spring fair 2025-03-01,,,,,,H01-1,,,,,38.00,3.00,,
S-001,,,,,,,,,,,other,,,,wax,2,1.50,,,
S-002,sale,2025-03-02,,,,,,,,,scrap,,,H04,,,5.00,,,
INV-001,invoice,2025-03-05,2025-03-06,Mrs T,,,,,,,,,J-1,,,,80.00,,,
INV-001,,,,,,,,,,,postage,,,,,,6.10,,,
INV-002,invoice,2025-03-10,,Craft room,Craft room,,,,,,article,H02,,,,,185.00,,,
CN-001,credit,2025-03-12,,,,,INV-002,scratched,,,,,,,,,,,1,20.00
CN-002,credit,2025-03-13,,,,,INV-002,sent back,Shelf,,,,,,,,,,1,
""",
    "papers.csv": """\
sale,seller_name,seller_address,seller_country,seller_electronic,buyer_name,buyer_address,buyer_country,taxed,prices_with_tax,due_on
INV-001,Old name,"Old lane 1, Utuharju",SE,,Mrs Before,"Hill 0, Utuharju",NO,no,yes,2025-03-20
""",
    "payments.csv": """receipt,date,amount,how,sale,job,takes_back,note
R-001,2025-01-10,30.00,cash,,J-1,,
R-002,2025-03-01,38.00,card,S-001,,,
R-003,2025-03-02,5.00,,S-002,,,
R-004,2025-03-05,10.00,,INV-001,,,
R-005,2025-03-06,-10.00,,,,R-004,
""",
    "receipts.csv": """\
receipt,seller_name,seller_address,buyer_name,buyer_address,work,agreed
R-001,Old name,"Old lane 1, Utuharju",Mrs Before,"Hill 0, Utuharju",as it was agreed then,70.00
""",
    "expenses.csv": """date,kind,amount,words,sale,fair,withheld,taken_back
2025-03-01,pitch,35.00,,,Spring fair 2025-03-01,,
2025-03-05,postage,5.20,,INV-001,,,2025-03-06
2025-03-10,fee,64.75,,INV-002,,yes,
2025-03-31,overhead,50.00,power,,,,
""",
    "hours.csv": """date,kind,minutes,words,taken_back
2025-03-31,papers,90,tax,2025-04-01
""",
    "moves.csv": """date,article,skin,material,why,to,note
2025-02-28,H01-1,,,,Box,
2025-03-01,H01-2,,,,Shelf,
2025-03-09,H02,,,moved,Gallery,
2025-03-20,H01-2,,,given,,to a friend
2025-03-20,,,SALT,,Tub,
""",
}


def widened(text: str, row: int, **cells: str) -> str:
    """A file with more columns, filled in one row; `row` counts as a spreadsheet does."""
    header, *rows = csv.reader(text.splitlines())
    lines = [[*header, *cells], *([*line, *("" for _ in cells)] for line in rows)]
    lines[row - 1][len(header) :] = cells.values()
    out = io.StringIO()
    csv.writer(out, lineterminator="\n").writerows(lines)
    return out.getvalue()


FULL = SELLING | {
    "frames.csv": """frame,made_on,lacings,cost,minutes,place,note,broken_on,broken_why
F1,2025-01-02,12,18.24,30,Shelf,spruce,,
F2,2025-01-02,12,18.24,,,,2025-03-01,fell
""",
    "repairs.csv": "date,frame,what,lacings,cost,minutes\n2025-01-20,F1,a rail,2,1.50,10\n",
    "skipped.csv": "date,batch,line,reason\n2025-01-20,B2,1,came salted\n",
    "skins.csv": SELLING["skins.csv"] + "H05,sheep,,customer,Mrs T,2025-01-11,3,,,,70,\n",
    "losses.csv": SELLING["losses.csv"] + "2025-02-01,H05,slipped\n",
    "jobs.csv": widened(
        SELLING["jobs.csv"] + "J-2,Mrs T,H05,2025-01-11,tan,,80.00,,,,\n",
        3,
        given_up_on="2025-02-01",
        given_up_why="slipped",
        given_back="no",
    ),
    "sales.csv": widened(SELLING["sales.csv"], 2, book="7.00", full="30.00", own_minutes="90"),
    "areas.csv": """\
skin,date,wet,frame_width_mm,frame_height_mm,apart_mm,photo,corners,outline,defects,area_dm2,plus_minus_dm2,usable_dm2,\
perimeter_mm,length_mm,width_mm,was_dm2
H02,2025-01-12,yes,,,1000,hide.jpg,"10,10 110,10","20,20 120,20 120,90.5 20,90","hole: 40,40 50,40 50,50",70,4,70,3400,1220,1150,60
H01,2025-01-12,,,,500,hide.jpg,"10,10 110,10","20,20 120,20 120,90.5 20,90",,,,,,,,
""",
    "corrections.csv": """date,delivery,line,quantity,note
2025-02-26,4,1,2,two too many
""",
    "write_offs.csv": """date,sale,amount,reason,taken_back
2025-05-01,INV-001,50.00,moved away,2025-05-02
""",
    "reminders.csv": """date,sale,tone,amount,percent,interest,words
2025-04-15,INV-001,firm,56.10,8,0.32,Please pay.
""",
    "regrades.csv": """date,article,grade,area,unit,note
2025-02-25,H01-1,B,11,dm2,a stain
""",
}


def write(folder: Path, files: dict[str, str] | None = None) -> Path:
    """The small workshop, or other files, in a folder; with areas the photo that they name."""
    folder.mkdir(parents=True, exist_ok=True)
    for name, text in (SMALL if files is None else files).items():
        (folder / name).write_text(text, encoding="utf-8", newline="\n")
        if name == "areas.csv":
            (folder / "photos").mkdir(exist_ok=True)
            (folder / "photos" / "hide.jpg").write_bytes(picture())
    return folder


@cache
def picture() -> bytes:
    """Any photo: between two marks nothing is read from it."""
    held = io.BytesIO()
    Image.new("L", (200, 150), 120).save(held, "JPEG")
    return held.getvalue()


def change(folder: Path, file: str, row: int, column: str, value: str) -> None:
    """Put another value into one cell, as by hand: without the manifest. `row` counts as a spreadsheet does."""
    (folder / "manifest.json").unlink(missing_ok=True)
    with (folder / file).open(encoding="utf-8", newline="") as source:
        records = list(csv.reader(source))
    records[row - 1][records[0].index(column)] = value
    with (folder / file).open("w", encoding="utf-8", newline="") as target:
        csv.writer(target, lineterminator="\n").writerows(records)


def add(folder: Path, file: str, line: str) -> None:
    with (folder / file).open("a", encoding="utf-8", newline="\n") as target:
        target.write(line + "\n")
