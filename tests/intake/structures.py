"""Invented part lists, one for each way in which a list may be laid out.

Above each: its name, the designators fitted, and behind a semicolon those that are not.
"""

TEXTS = """
### DNP column lists designators => R1 R2 R3 R4 R8 R9 U1 ; R5 R6 R7 C1 C2
Ref,Qty,Value,DNP
R1-R9,9,10k,R5-R7
C1 C2,2,1u,all
U1,1,ZX,
### column of those fitted => R1 R3 C1 U1 ; R2
Ref,Value,Fitted
"R1,R2,R3",10k,"R1,R3"
C1,1u,C1
U1,ZX,U1
### two columns of designators => R1 R2 C1 C2 ; R9 C8 C9
Value,Fitted designators,Not fitted designators
10k,"R1,R2",R9
100n,"C1,C2",
1u,,"C8,C9"
### both a DNP and a fitted column => R1 C1 ; R2 R3
Ref,Value,DNP,Fitted
R1,10k,,yes
R2,10k,,no
R3,10k,x,
C1,1u,,yes
### note below => R2 R3 R4 R8 R9 C1 ; R1 R5 R6 R7
Ref,Qty,Value
R1-R9,9,10k
C1,1,1u
,,
"DNP: R1, R5-R7",,
### note over several cells => R2 R3 R4 R8 R9 C1 ; R1 R5 R6 R7
Ref,Qty,Value
R1-R9,9,10k
C1,1,1u
DNP:,R1,R5-R7
### sentence above => R1 C1 ; R2 C2
"The following parts are not fitted: R2, C2.",,
Ref,Qty,Value
"R1,R2",2,10k
"C1,C2",2,1u
### remark about another row => R1 C1 ; R9
Ref,Value,Remarks
R1,10k,R9 not fitted
R9,10k,
C1,1u,
### list below a heading => R1 C1 ; R2 C2
Ref;Qty;Value
R1,R2;2;10k
C1,C2;2;1u
;;
Not fitted:;;
R2;;
C2;;
### a heading again inside the block => R1 C1 ; R2
Ref,Value
Resistors,
R1,10k
Not fitted,
Resistors,
R2,10k
Capacitors,
C1,1u
### marked in the name => R1 C2 ; R2_DNP C1
Ref,Value
R1,10k
R2_DNP,10k
"C1 [DNP], C2",1u
### top and bottom columns => R1 R2 R3 C1 C2 C3
MPN,Top refs,Bottom refs,Qty
AR-1,"R1,R2",R3,3
AC-1,C1,"C2,C3",3
### a list spilled over cells => R1 R2 R3 C1 C2 U1
Qty,Value,Ref,,
3,10k,R1,R2,R3
2,1u,C1,C2,
1,ZX,U1,,
### a list without quotation marks => R1 R2 R3 C1 U1
Ref,Qty,Value
R1,R2,R3,3,10k
C1,1,1u
U1,1,ZX
### goes on without a comma => R1 R2 R3 R4 C1
Item,Ref,Value,MPN
1,R1 R2,10k,AR-1
,R3 R4,,
2,C1,1u,AC-1
### heading with a count => R1 R2 C1
Ref,Qty,Value
Resistors,2,
"R1,R2",2,10k
Capacitors,1,
C1,1,1u
### names without a number => R1 USB RESET PWR STAT C1
Ref,Qty,MPN
R1,1,AR-1
USB,1,AJ-1
RESET,1,AS-1
"PWR,STAT",2,AL-1
C1,1,AC-1
### what a name is for => J1 C1 R1
Ref,Qty,Value
J1 - USB,1,socket
C1: bulk,1,1u
R1,1,10k
### cells kept as text => R1 C1 U1
Ref,Qty,MPN
="R1",1,="0012"
="C1",1,'0013
U1,1,ZX
### line breaks of a web page => R1 R2 C1
Ref,Qty,Value
R1<br>R2,2,10k
C1,1,1u
### many line breaks in cells => R1 R2 R3 R4 C1 C2 C3
Ref,Qty,Value
"R1
R2
R3
R4",4,10k
"C1
C2
C3",3,1u
### header of two rows => R1 C1
Ref.,Qty,Mfr.,Mfr.
Des.,,Name,Part No.
R1,1,Aldern,AR-1
C1,1,Aldern,AC-1
### another header without a gap => R1 J1
Ref,Qty,Value,MPN
R1,1,10k,AR-1
MPN,Ref,Qty,Value
AJ-1,J1,1,socket
### prices for many => R1 C1
Ref,Qty,Value,1,10,100+
R1,1,10k,0.3,0.2,0.1
C1,1,1u,0.3,0.2,0.1
### colons => C1 C2 R1
refdes:device:value:quantity
C1,C2:capacitor:100n:2
R1:resistor:10k:1
### words under names => R1 R2 C1 C2 C3 C4
QTY VALUE REFS
2 10k R1,R2
1 1u C1
3 100n C2,C3,C4
### pairs => R1 R2 C1 U1
R1 = 10k
R2 = 1k
C1 = 1u
U1 = ZX1
### revisions and numbered notes below => R1 R2 R3 C1
Ref,Qty,Value
R1,1,10k
R2,1,10k
R3,1,10k
C1,1,1u
,,
Rev,Date,Change
A,first,issue
1,see,drawing
### pages => R1 C1
Item,Ref,Qty,MPN
1,R1,1,AR-1
Weather node,,,Page 2
Item,Ref,Qty,MPN
2,C1,1,AC-1
### an alternate under a word => R1 C1
Ref,Qty,Manufacturer,MPN
R1,1,Aldern,AR-1
or,,Birk,BR-1
C1,1,Aldern,AC-1
### of two columns of codes the one with more letters => R1 C1 U1
Pos,Ref,Qty,Value
P1,R1,1,10k
P2,C1,1,1u
P3,U1,1,ZX
### names in two scripts => C1 C2 R1
NO.;Qty;Designator 位号;Value 值
1;2;C1,C2;1u
2;1;R1;10k
### Romanian => C1 ; R1
Nr.;Cantitate;Referință;Valoare;Producător;Observații
1;1;R1;10k;Aldern;nu se montează
2;1;C1;1u;Aldern;
### sheets and boards before the names => MAIN/R1 MAIN/R2 PSU/C1
Ref,Qty,Value
"MAIN/R1,MAIN/R2",2,10k
PSU/C1,1,1u
### numbers of boards before the names => 1R1 1R2 2C1 2C2
Ref,Qty,Value
"1R1,1R2",2,10k
"2C1,2C2",2,1u
### lists that go on in every way => R1 R2 R3 R4 R7 R9 C1 C2 C3 C7 L1 L2
Ref,Qty,Value
"R1-4,7,9",6,10k
"C1—C3,C7",4,1u
L1|L2,2,1uH
### hyphens that belong to the name => J1-1 J1-2 R1 R2
Ref,Qty,Value
J1-1,1,socket
J1-2,1,socket
R1-2,2,10k
### numbered footnotes => R1 C1 C2 ; R2
Ref,Qty,Value,Remark
R1,1,10k,
R2,1,10k,1)
C1,1,1u,
C2,1,1u,2)
,,,
1) not fitted,,,
2) low loss,,,
### numbered notes under a heading => R1 C1 ; R2
Ref,Qty,Value,Notes
R1,1,10k,
R2,1,10k,see note 1
C1,1,1u,see note 2
,,,
Notes:,,,
1. Do not populate,,,
2. Use X7R only,,,
### raised numbers => R1 C1 ; R2
Ref,Qty,Value
R1,1,10k
R2¹,1,10k
C1,1,1u
,,
¹ not fitted,,
### footnote over cells => R1 C1 ; R2
Ref,Qty,Value,Remark
R1,1,10k,
R2,1,10k,1)
C1,1,1u,
,,,
1),not fitted,,
### marks in brackets of names => R1 R2 C1 ; R3 R4 C2
Ref,Qty,Value
"R1-R4 (R3, R4 not fitted)",4,10k
"(DNP) C2",1,1u
C1,1,1u
### marks before names => R1 C1 ; R2 R3 R5
Ref,Qty,Value
"R1 DNP: R2, R3",3,10k
"C1
DNP: R5",2,1u
### a quantity that counts all => C1 ; R1 R2 R3
Ref,Qty,Value
"R1,R2,R3",3 (3 DNP),10k
C1,1,1u
### letters and numbers in columns of their own => R1 R2 R3 C1 C2 U1
Class,No.,Value,Qty
R,"1, 2, 3",10k,3
C,1,1u,1
C,2,1u,1
U,1,ZX7001,1
### all in one text => R1 R2 C1 C2 C3 U1
Parts of the node
2 x R1 R2 10k
"C1 - C3 (3x) 100n"
1 x U1 ZX7001 amplifier
### all in one text behind the part => R1 R2 C1 U1
Bill of materials

- 2x 10k resistor (R1, R2)
- 1x 100n capacitor (C1)
- 1x ZX7001 (U1)

See the assembly notes.
### all in one text beside a number => R1 R2 C1 U1
No,Part
1,"2x 10k resistor (R1, R2)"
2,"1x 100n capacitor (C1)"
3,"1x ZX7001 (U1)"
### wide commas and digits => R1 R2 C1 C2 C3
位号，数量，值
Ｒ１、Ｒ２，２，10k
Ｃ１～Ｃ３，３，100n
### names in an alphabet not known => R1 R2 C1 U1 J1
ตำแหน่ง,ชิ้น,ค่า
"R1,R2",2,10k
C1,1,1u
U1,1,ZX7001
J1,1,socket
### part numbers before designators and no header => C1 C2 R1 U1
2,AC-0603-104K,"C1,C2",Aldern,capacitor
1,AR-0603-103F,R1,Aldern,resistor
1,ZX7001-A,U1,Zed,amplifier
### the number beside the names => R1 R2 C1
Ref (Qty),Value
"R1, R2 (2)",10k
C1 (1),1u
### sums after each group => C1 C2 R1
Ref,Qty,Value
"C1, C2",2,1u
Subtotal,2,
R1,1,10k
Subtotal,1,
Total,3,
### part numbers under a name that may mean designators => C1 R1 U1
Ref,Qty,Value,Part
C1,1,100n,AC-0603
R1,1,10k,AR-0603
U1,1,,ZX7001
### a count of those not fitted => C1 ; R1 R2
Ref,Qty,DNP,Value
"R1,R2",2,2,10k
C1,1,0,1u
### a remark about the part of another row => J1 C1 ; R1
Ref,Value,Comment
R1,0R,
J1,socket,Do not fit R1
C1,1u,do not place on bottom
### names of letters and a word => J_PWR J_USB R_SHUNT C_BULK1 U_MCU
Reference,Value,Qty
J_PWR,socket,1
J_USB,socket,1
R_SHUNT,1m,1
C_BULK1,100u,1
U_MCU,ZX,1
### parts that begin as footers do => R1 R2 C1 U1
Function,Ref,Qty,Value
Summing,R1,1,10k
Total gain,R2,1,1k
Input:,C1,1,1u
Revision switch,U1,1,ZX
,,,
Revision:,B2,,2021-01-02
Checked,C3,,
Total,,4,
### colons behind the names => R1 R2 C1
Ref,Value
R1:,10k
R2:,1k
C1:,1u
### words that are explained head no block => R1 C1 U1 ; R2 R3
Ref,Qty,Value
DNP = Do not populate,,
R1,1,10k
R2,1,DNP
"NF = not fitted",,
R3,1,NF
Parts marked DNP are not populated,,
C1,1,1u
U1,1,ZX
### a heading with a count over parts not fitted => R1 ; C1 C2
Ref,Qty,Value
R1,1,10k
DNP,2,
C1,1,1u
C2,1,1u
### a sum in the column of part numbers => R1 C1 U1
Ref,MPN,Value
R1,AR-1,10k
C1,AC-1,1u
U1,ZX-1,
Total,3
### a size or a type before DNP is no count and no name => R1 ; J7 J8 U1 U2
Ref,Qty,Value,Description
R1,1,10k,
U1,1,ZX7001 DNP,amplifier
U2,1,ZX,ZX7001 not fitted
J7,1,2x5 DNP,header
J8,1,header,"2 rows of 5, DNP"
"""
