"""The pages that offer papers, and each paper as PDF or, without Pango, as a page to print."""

from collections.abc import Callable
from dataclasses import dataclass

from fastapi import APIRouter, HTTPException
from sqlalchemy.orm import Session
from starlette.requests import Request
from starlette.responses import Response

from webapp.pages.access import discreet
from webapp.pages.deps import ReadSession
from webapp.pages.loom_frame import loom_frame
from webapp.pages.papers import loom_papers, unit_papers
from webapp.pages.papers.heads import Subject, as_read_by, loom_subject, unit_subject
from webapp.pages.render import error_page, render
from webapp.pages.unit_frame import unit_frame
from webapp.paper.papers import Paper, to_pdf
from webapp.paper.render import PaperUnavailable, available
from webapp.stages.refusals import Refused

router = APIRouter()
Maker = Callable[[Session, Subject], Paper]


@dataclass(frozen=True)
class Offer:
    slug: str
    title: str
    words: str
    make: Maker


LOOM_PAPERS = (
    Offer("job-ticket", "Job ticket", "travels with the job", loom_papers.job_ticket),
    Offer("design-sheet", "Design sheet", "wires, circuits, plugs, plan", loom_papers.design_sheet),
    Offer("cut-list", "Cut list", "by cable and colour, with reel totals", loom_papers.cut_list),
    Offer("kit-list", "Parts to collect", "for all units, with scrap", loom_papers.kit_list),
)
UNIT_PAPERS = (
    Offer("bench-sheet", "Bench sheet", "every step, with its tick", unit_papers.bench_sheet),
    Offer("test-sheet", "Test sheet", "every test with its limit", unit_papers.test_sheet),
    Offer("certificate", "Test certificate", "from the readings", unit_papers.certificate),
    Offer("hand-over", "Hand-over papers", "for whoever mends it", unit_papers.hand_over),
)


def _offer(offers: tuple[Offer, ...], slug: str) -> Offer:
    found = next((offer for offer in offers if offer.slug == slug), None)
    if found is None:
        raise HTTPException(404)
    return found


@router.get("/looms/{loom_id}/papers")
def show_loom(request: Request, session: ReadSession, loom_id: int) -> Response:
    return render(
        request,
        "papers/loom.html",
        frame=loom_frame(session, loom_id),
        offers=LOOM_PAPERS,
        unit_offers=UNIT_PAPERS,
        units=loom_subject(session, loom_id).batch,
        missing=available(),
    )


@router.get("/units/{unit_id}/papers")
def show_unit(request: Request, session: ReadSession, unit_id: int) -> Response:
    frame = unit_frame(session, unit_id)
    return render(
        request,
        "papers/unit.html",
        frame=frame.loom,
        at=frame,
        unit=frame.unit,
        offers=UNIT_PAPERS,
        missing=available(),
    )


@router.get("/looms/{loom_id}/papers/{slug}.pdf")
def loom_pdf(request: Request, session: ReadSession, loom_id: int, slug: str) -> Response:
    offer = _offer(LOOM_PAPERS, slug)
    return pdf(request, session, offer, loom_subject(session, loom_id))


@router.get("/units/{unit_id}/papers/{slug}.pdf")
def unit_pdf(request: Request, session: ReadSession, unit_id: int, slug: str) -> Response:
    offer = _offer(UNIT_PAPERS, slug)
    return pdf(request, session, offer, unit_subject(session, unit_id))


def pdf(request: Request, session: Session, offer: Offer, about: Subject) -> Response:
    """The paper, named for the job or the unit that it is about."""
    try:
        body = to_pdf(offer.make(session, as_read_by(about, discreet(request))))
    except Refused as refused:
        return error_page(request, 409, "Not yet", refused.sentence)
    except PaperUnavailable as missing:
        return error_page(request, 503, "No PDF here", str(missing))
    about_what = about.unit.serial if about.unit else f"{about.job.number}-{about.loom.code}"
    return pdf_answer(body, f"{offer.slug}-{about_what}.pdf")


def pdf_answer(body: bytes, name: str) -> Response:
    headers = {"Content-Disposition": f'inline; filename="{name}"'}
    return Response(body, media_type="application/pdf", headers=headers)
